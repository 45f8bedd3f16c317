using System.Runtime.InteropServices;
using OpenCvSharp;

namespace Tonematch.Vision;

/// <summary>Whether OpenCV's native library can be used on this machine.</summary>
public static class NativeVision
{
    private static readonly Lazy<VisionLibrary> s_library = new(Load);

    /// <summary>
    /// A sentence why charts and common objects cannot be searched for on this machine, and what to do; null if they
    /// can.
    /// </summary>
    public static string? Fault => s_library.Value.Fault;

    /// <summary>The state of the library, which is loaded on the first call in a few tens of milliseconds.</summary>
    public static VisionLibrary Library => s_library.Value;

    private static VisionLibrary Load()
    {
        if (!OperatingSystem.IsLinux() || RuntimeInformation.ProcessArchitecture != Architecture.X64)
        {
            return VisionLibrary.NotForThisSystem;
        }

        try
        {
            using Mat probe = new(1, 1, MatType.CV_8UC1);

            // Frames are processed in parallel. OpenCV's own threads would wait for work by spinning, which takes a
            // twentieth of the time of a match and of the cores that others use.
            Cv2.SetNumThreads(1);
            return VisionLibrary.Whole(Cv2.GetVersionString() ?? "");
        }
        catch (Exception e) when (e is TypeInitializationException or DllNotFoundException or EntryPointNotFoundException or BadImageFormatException or OpenCvSharpException)
        {
            return VisionLibrary.Broken([.. VisionLibrary.LinksTo.Where(l => !CanLoad(l.Library))], OsRelease());
        }
    }

    private static bool CanLoad(string library)
    {
        if (!NativeLibrary.TryLoad(library, out nint handle))
        {
            return false;
        }

        NativeLibrary.Free(handle);
        return true;
    }

    // The system's own description: os-release(5).
    private static string OsRelease()
    {
        try
        {
            return File.ReadAllText("/etc/os-release");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "";
        }
    }
}

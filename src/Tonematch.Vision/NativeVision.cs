using OpenCvSharp;

namespace Tonematch.Vision;

/// <summary>Whether OpenCV's native library can be used on this machine.</summary>
public static class NativeVision
{
    private static readonly Lazy<string?> s_fault = new(Load);

    /// <summary>
    /// A sentence why charts and common objects cannot be searched for on this machine, and what to do; null when they
    /// can.
    /// </summary>
    public static string? Fault => s_fault.Value;

    private static string? Load()
    {
        try
        {
            using Mat probe = new(1, 1, MatType.CV_8UC1);

            // Frames are looked at side by side. OpenCV's own threads would wait for work by spinning: a twentieth of
            // the time of a match, and of the cores that others use.
            Cv2.SetNumThreads(1);
            return null;
        }
        catch (Exception e) when (e is TypeInitializationException or DllNotFoundException or EntryPointNotFoundException or BadImageFormatException or OpenCvSharpException)
        {
            return "OpenCV's native library does not load on this machine (on Debian it needs the package libgtk-3-0), so charts and common objects cannot be searched for. Mark regions or a chart's corners by hand instead.";
        }
    }
}

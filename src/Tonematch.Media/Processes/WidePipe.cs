using System.Diagnostics;
using System.IO.Pipes;
using System.Runtime.InteropServices;

namespace Tonematch.Media.Processes;

/// <summary>
/// Enlarges the pipe from a program: Linux provides 64 kB, less than a small frame, so that FFmpeg stalls while a frame
/// is measured. If that is impossible, only time is lost.
/// </summary>
internal static class WidePipe
{
    // A frame of 480 x 270 in 4:2:0 takes 190 kB. A megabyte, the largest size allowed, is no quicker.
    private const int Bytes = 256 * 1024;

    // fcntl(2), Linux 2.6.35 and later.
    private const int SetPipeSize = 1031;

    /// <summary>Enlarges the pipe of the program's output.</summary>
    public static void Of(Process process)
    {
        if (!OperatingSystem.IsLinux() || process.StandardOutput.BaseStream is not PipeStream pipe)
        {
            return;
        }

        try
        {
            _ = Control(pipe.SafePipeHandle, SetPipeSize, Bytes);
        }
        catch (Exception e) when (e is DllNotFoundException or EntryPointNotFoundException or ObjectDisposedException)
        {
            // A C library of another name, or a program that has ended already.
        }
    }

    [DllImport("libc", EntryPoint = "fcntl")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Control(SafeHandle pipe, int command, int value);
}

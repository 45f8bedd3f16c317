namespace Tonematch.Media.Files;

/// <summary>Explains in a sentence why a file could not be written.</summary>
public static class FileFault
{
    // ENOSPC and EDQUOT of Linux and macOS; ERROR_DISK_FULL and ERROR_HANDLE_DISK_FULL of Windows.
    private const int DiskFullUnix = 28;
    private const int QuotaLinux = 122;
    private const int QuotaMac = 69;
    private const int DiskFullWindows = 0x70;
    private const int HandleDiskFullWindows = 0x27;

    /// <summary>Makes the exception for a failed write.</summary>
    /// <param name="path">The file.</param>
    /// <param name="e">The system's exception.</param>
    public static UnusableInputException Explain(string path, Exception e)
    {
        ArgumentNullException.ThrowIfNull(e);
        return new UnusableInputException(
            IsDiskFull(e) ? $"'{path}' could not be written: the disk is full. Free some space and try again."
            : e is UnauthorizedAccessException ? $"'{path}' may not be written. Choose another folder, or change its permissions."
            : $"'{path}' could not be written: {e.Message}",
            e);
    }

    /// <summary>Whether the disk, or the user's quota, is full.</summary>
    public static bool IsDiskFull(Exception e)
    {
        ArgumentNullException.ThrowIfNull(e);
        return (e.HResult & 0xFFFF) is int code && (OperatingSystem.IsWindows()
            ? code is DiskFullWindows or HandleDiskFullWindows
            : code == DiskFullUnix || code == (OperatingSystem.IsMacOS() ? QuotaMac : QuotaLinux));
    }
}

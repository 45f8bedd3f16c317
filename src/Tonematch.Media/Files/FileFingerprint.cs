using System.Buffers;
using System.Security.Cryptography;

namespace Tonematch.Media.Files;

/// <summary>A file's SHA-256, so that others can check whether they have the same file.</summary>
public static class FileFingerprint
{
    // Hashing gigabytes would take longer than anything else done with the file.
    private const long WholeUpTo = 256L << 20, Ends = 64L << 20;

    /// <summary>
    /// The hash in hexadecimal; for files above 256 MiB, the hash of the first and the last 64 MiB, which the text
    /// states.
    /// </summary>
    /// <exception cref="UnusableInputException">The file cannot be read.</exception>
    public static async Task<string> OfAsync(string path, CancellationToken cancel)
    {
        try
        {
            await using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, 1, FileOptions.Asynchronous | FileOptions.SequentialScan);
            using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
            if (stream.Length <= WholeUpTo)
            {
                await AddAsync(stream, long.MaxValue, hash, cancel);
                return "SHA-256 " + Convert.ToHexStringLower(hash.GetHashAndReset());
            }

            await AddAsync(stream, Ends, hash, cancel);
            stream.Seek(-Ends, SeekOrigin.End);
            await AddAsync(stream, Ends, hash, cancel);
            return "SHA-256 of its first and last 64 MiB " + Convert.ToHexStringLower(hash.GetHashAndReset());
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException($"'{path}' cannot be read: {e.Message}", e);
        }
    }

    private static async Task AddAsync(FileStream stream, long count, IncrementalHash hash, CancellationToken cancel)
    {
        byte[] buffer = ArrayPool<byte>.Shared.Rent(1 << 20);
        try
        {
            while (count > 0)
            {
                int n = await stream.ReadAsync(buffer.AsMemory(0, (int)Math.Min(buffer.Length, count)), cancel);
                if (n == 0)
                {
                    return;
                }

                hash.AppendData(buffer, 0, n);
                count -= n;
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }
    }
}

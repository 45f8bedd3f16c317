using System.ComponentModel;
using System.Diagnostics;

namespace Tonematch.Demo;

/// <summary>Feeds raw frames to FFmpeg.</summary>
internal static class ClipEncoder
{
    /// <summary>Runs FFmpeg with these arguments and writes the frames to its standard input in order.</summary>
    /// <exception cref="UnusableInputException">FFmpeg cannot be started or fails.</exception>
    public static async Task EncodeAsync(string[] arguments, IEnumerable<Task<byte[]>> frames, CancellationToken cancel)
    {
        ProcessStartInfo start = new("ffmpeg") { RedirectStandardInput = true, RedirectStandardError = true, UseShellExecute = false };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        Process process;
        try
        {
            process = Process.Start(start) ?? throw new UnusableInputException("FFmpeg could not be started.");
        }
        catch (Win32Exception)
        {
            throw new UnusableInputException("FFmpeg was not found. Install it (package 'ffmpeg') and run this again.");
        }

        using (process)
        {
            Task<string> errors = process.StandardError.ReadToEndAsync(CancellationToken.None);
            try
            {
                foreach (Task<byte[]> frame in frames)
                {
                    await process.StandardInput.BaseStream.WriteAsync(await frame.ConfigureAwait(false), cancel).ConfigureAwait(false);
                }

                process.StandardInput.Close();
                await process.WaitForExitAsync(cancel).ConfigureAwait(false);
            }
            catch (IOException) when (!cancel.IsCancellationRequested)
            {
                // FFmpeg closed its input: its own message below says why.
                await process.WaitForExitAsync(cancel).ConfigureAwait(false);
            }
            finally
            {
                if (!process.HasExited)
                {
                    process.Kill();
                }
            }

            if (process.ExitCode != 0)
            {
                string said = (await errors.ConfigureAwait(false)).Trim();
                throw new UnusableInputException($"FFmpeg could not write the demo's clip: {said}");
            }
        }
    }
}

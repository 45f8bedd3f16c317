using System.ComponentModel;
using System.Diagnostics;
using System.Text;

namespace Tonematch.Media.Processes;

/// <summary>
/// The only access to ffmpeg and ffprobe. Arguments are passed as a list, never through a shell; the error channel is
/// kept up to a limit; cancelling, disposing or a long silence ends the whole process tree.
/// </summary>
internal sealed class FfmpegProcess : IAsyncDisposable
{
    private const int KeptErrorLines = 60;
    private const int KeptLineLength = 500;
    private static readonly TimeSpan s_usualSilenceLimit = TimeSpan.FromMinutes(2);

    // A killed process ends at once, unless it waits for a drive that does not respond: then nothing ends it.
    private static readonly TimeSpan s_longestEnd = TimeSpan.FromMinutes(1);

    private readonly Process _process;
    private readonly Queue<string> _errors = new();
    private readonly Action<string>? _onLine;
    private readonly Action? _onEnd;
    private readonly Task _errorPump;
    private readonly CancellationTokenRegistration _killOnCancel;
    private readonly CancellationToken _cancel;
    private long _lastSign = Stopwatch.GetTimestamp();
    private readonly TimeSpan _silenceLimit;
    private readonly Timer _watch;
    private bool _waiting;
    private volatile bool _silent;

    private FfmpegProcess(Process process, Action<string>? onLine, Action? onEnd, TimeSpan silenceLimit, CancellationToken cancel)
    {
        (_process, _onLine, _onEnd, _silenceLimit, _cancel) = (process, onLine, onEnd, silenceLimit, cancel);
        _watch = new Timer(_ => LookForSilence(), null, silenceLimit / 4, silenceLimit / 4);
        _errorPump = Task.Run(PumpErrorsAsync, CancellationToken.None);
        _killOnCancel = cancel.Register(Kill);

        // However the program ends, no decoder or encoder outlives it.
        AppDomain.CurrentDomain.ProcessExit += OnProgramEnd;
    }

    /// <summary>The program's output. Reading from it counts as a sign of life.</summary>
    public Stream Output => _process.StandardOutput.BaseStream;

    /// <summary>The program's input; only if started with an input.</summary>
    public Stream Input => _process.StandardInput.BaseStream;

    /// <summary>The last error lines of the error channel, otherwise its last lines.</summary>
    public string ErrorText
    {
        get
        {
            lock (_errors)
            {
                return string.Join('\n', _errors);
            }
        }
    }

    /// <summary>Starts a program.</summary>
    /// <param name="program">Full path.</param>
    /// <param name="arguments">One string per argument; nothing is quoted or split.</param>
    /// <param name="onLine">Receives each line of the error channel, on another thread.</param>
    /// <param name="onEnd">Called after the last line.</param>
    /// <param name="withInput">Opens <see cref="Input"/>.</param>
    /// <param name="workingFolder">The working folder; the current one by default.</param>
    /// <param name="silenceLimit">The process is ended after this long without output while a caller waits; two minutes by default.</param>
    /// <param name="cancel">Kills the process tree.</param>
    public static FfmpegProcess Start(
        string program,
        IEnumerable<string> arguments,
        Action<string>? onLine = null,
        Action? onEnd = null,
        bool withInput = false,
        string? workingFolder = null,
        TimeSpan? silenceLimit = null,
        CancellationToken cancel = default)
    {
        cancel.ThrowIfCancellationRequested();
        ProcessStartInfo start = new(program)
        {
            UseShellExecute = false,
            CreateNoWindow = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = withInput,
            StandardErrorEncoding = Encoding.UTF8,
            StandardOutputEncoding = Encoding.UTF8,
        };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        if (workingFolder is not null)
        {
            start.WorkingDirectory = workingFolder;
        }

        // Both variables change what is written to the error channel or to files.
        start.Environment.Remove("FFREPORT");
        start.Environment.Remove("AV_LOG_FORCE_COLOR");
        try
        {
            Process process = Process.Start(start) ?? throw new UnusableInputException($"{program} could not be started.");
            WidePipe.Of(process);
            return new FfmpegProcess(process, onLine, onEnd, silenceLimit ?? s_usualSilenceLimit, cancel);
        }
        catch (Win32Exception e)
        {
            throw new UnusableInputException($"{program} could not be started ({e.Message}). Install FFmpeg again.", e);
        }
    }

    /// <summary>Reads all the program's text output and waits for its end.</summary>
    public static async Task<(int ExitCode, string Output, string Errors)> RunAsync(
        string program, IEnumerable<string> arguments, CancellationToken cancel, int maxCharacters = int.MaxValue)
    {
        await using FfmpegProcess p = Start(program, arguments, cancel: cancel);
        StringBuilder text = new();
        char[] buffer = new char[16384];
        int n;
        while ((n = await p.GuardSilenceAsync(p._process.StandardOutput.ReadAsync(buffer.AsMemory(), cancel).AsTask()).ConfigureAwait(false)) > 0)
        {
            if (text.Length + n > maxCharacters)
            {
                throw new UnusableInputException($"{Path.GetFileName(program)} returned far more text than an intact clip can need.");
            }

            text.Append(buffer, 0, n);
        }

        int code = await p.WaitAsync().ConfigureAwait(false);
        return (code, text.ToString(), p.ErrorText);
    }

    /// <summary>Fills the buffer from the output; returns fewer bytes only at its end.</summary>
    public async ValueTask<int> FillAsync(Memory<byte> buffer)
    {
        int filled = 0;
        while (filled < buffer.Length)
        {
            ValueTask<int> read = Output.ReadAsync(buffer[filled..], _cancel);
            int n = read.IsCompletedSuccessfully ? read.Result : await GuardSilenceAsync(read.AsTask()).ConfigureAwait(false);
            if (n == 0)
            {
                break;
            }

            Volatile.Write(ref _lastSign, Stopwatch.GetTimestamp());
            filled += n;
        }

        _cancel.ThrowIfCancellationRequested();
        return filled;
    }

    /// <summary>The lines of a text output.</summary>
    public async IAsyncEnumerable<string> ReadLinesAsync()
    {
        while (await GuardSilenceAsync(_process.StandardOutput.ReadLineAsync(_cancel).AsTask()).ConfigureAwait(false) is { } line)
        {
            yield return line;
        }
    }

    /// <summary>Waits for the end of the program and of its error channel; returns the exit code.</summary>
    public async Task<int> WaitAsync()
    {
        await GuardSilenceAsync(WaitForExit()).ConfigureAwait(false);
        await _errorPump.ConfigureAwait(false);
        _cancel.ThrowIfCancellationRequested();
        return _process.ExitCode;

        async Task<int> WaitForExit()
        {
            await _process.WaitForExitAsync(_cancel).ConfigureAwait(false);
            return 0;
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _killOnCancel.DisposeAsync().ConfigureAwait(false);
        await _watch.DisposeAsync().ConfigureAwait(false);
        Kill();
        try
        {
            await _process.WaitForExitAsync(CancellationToken.None).WaitAsync(s_longestEnd, CancellationToken.None).ConfigureAwait(false);
            await _errorPump.WaitAsync(s_longestEnd, CancellationToken.None).ConfigureAwait(false);
        }
        catch (TimeoutException)
        {
            // It cannot be ended; the system has to deal with it.
        }

        AppDomain.CurrentDomain.ProcessExit -= OnProgramEnd;
        _process.Dispose();
    }

    private async Task<T> GuardSilenceAsync<T>(Task<T> work)
    {
        Volatile.Write(ref _lastSign, Stopwatch.GetTimestamp());
        Volatile.Write(ref _waiting, true);
        try
        {
            T result = await work.ConfigureAwait(false);
            if (_silent)
            {
                throw Silent();
            }

            Volatile.Write(ref _lastSign, Stopwatch.GetTimestamp());
            return result;
        }
        catch (Exception e) when (e is not (OperationCanceledException or UnusableInputException) && _silent)
        {
            throw Silent();
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException && _cancel.IsCancellationRequested)
        {
            throw new OperationCanceledException("Cancelled.", e, _cancel);
        }
        finally
        {
            Volatile.Write(ref _waiting, false);
        }
    }

    private static UnusableInputException Silent() =>
        new("FFmpeg did not respond for two minutes and was ended. Is the drive with the clip still connected?");

    // Only while a caller waits: a program whose output is not read is silent for a good reason.
    private void LookForSilence()
    {
        if (Volatile.Read(ref _waiting) && Stopwatch.GetElapsedTime(Volatile.Read(ref _lastSign)) > _silenceLimit)
        {
            _silent = true;
            Kill();
        }
    }

    private async Task PumpErrorsAsync()
    {
        try
        {
            while (await _process.StandardError.ReadLineAsync(CancellationToken.None).ConfigureAwait(false) is { } line)
            {
                Volatile.Write(ref _lastSign, Stopwatch.GetTimestamp());
                _onLine?.Invoke(line);
                // With '-loglevel level+info' each line states its level; progress information is not an error.
                if (line.Length == 0 || line.Contains("[info]", StringComparison.Ordinal))
                {
                    continue;
                }

                lock (_errors)
                {
                    _errors.Enqueue(line.Length > KeptLineLength ? line[..KeptLineLength] : line);
                    if (_errors.Count > KeptErrorLines)
                    {
                        _errors.Dequeue();
                    }
                }
            }
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException or InvalidOperationException)
        {
            // The process was ended while a line was being read.
        }
        finally
        {
            _onEnd?.Invoke();
        }
    }

    private void OnProgramEnd(object? sender, EventArgs e) => Kill();

    private void Kill()
    {
        try
        {
            if (!_process.HasExited)
            {
                _process.Kill(entireProcessTree: true);
            }
        }
        catch (Exception e) when (e is InvalidOperationException or Win32Exception or NotSupportedException)
        {
            // It ended by itself in the meantime.
        }
    }
}

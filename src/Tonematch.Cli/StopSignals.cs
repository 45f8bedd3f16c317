using System.Runtime.InteropServices;

namespace Tonematch.Cli;

/// <summary>
/// Handles Ctrl-C, a closed window and SIGTERM: the work is cancelled and then cleans up, however long that takes. A
/// second signal during the clean-up changes nothing.
/// </summary>
internal sealed class StopSignals : IDisposable
{
    private readonly CancellationTokenSource _stop = new();
    private readonly List<PosixSignalRegistration> _registrations = [];
    private volatile int _signal;

    private StopSignals()
    {
    }

    /// <summary>Cancelled by the first signal.</summary>
    public CancellationToken Token => _stop.Token;

    /// <summary>128 plus the signal's number, as in shells; without a signal, the code of Ctrl-C.</summary>
    public int ExitCode => _signal == 0 ? Cli.ExitCode.Stopped : 128 + _signal;

    /// <summary>Listens until it is disposed.</summary>
    public static StopSignals Listen()
    {
        StopSignals signals = new();
        foreach ((PosixSignal signal, int number) in ((PosixSignal, int)[])[(PosixSignal.SIGHUP, 1), (PosixSignal.SIGINT, 2), (PosixSignal.SIGQUIT, 3), (PosixSignal.SIGTERM, 15)])
        {
            signals._registrations.Add(PosixSignalRegistration.Create(signal, context =>
            {
                context.Cancel = true;
                signals.Stop(number);
            }));
        }

        return signals;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _registrations.ForEach(r => r.Dispose());
        _stop.Dispose();
    }

    private void Stop(int signal)
    {
        if (Interlocked.CompareExchange(ref _signal, signal, 0) == 0)
        {
            _stop.Cancel();
        }
    }
}

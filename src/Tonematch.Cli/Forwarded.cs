namespace Tonematch.Cli;

/// <summary>Passes progress on immediately, on the calling thread.</summary>
internal sealed class Forwarded(Action<double> report) : IProgress<double>
{
    /// <inheritdoc/>
    public void Report(double value) => report(value);
}

namespace Tonematch.Cli;

/// <summary>Passes progress on at once, on the thread it comes from.</summary>
internal sealed class Forwarded(Action<double> report) : IProgress<double>
{
    /// <inheritdoc/>
    public void Report(double value) => report(value);
}

namespace Tonematch.Samples;

/// <summary>The methods' names on the command line and in files.</summary>
public static class SamplingMethods
{
    /// <summary>The name as on the command line: chart, overlap, regions, overall; 'given' for a file of pairs.</summary>
    public static string Name(this SamplingMethod method) => method.ToString().ToLowerInvariant();
}

using System.Globalization;

namespace Tonematch.Bench;

/// <summary>Processor time as Linux counts it.</summary>
internal static class ProcessorTime
{
    /// <summary>Seconds of all children that were waited for, their own children among them (man proc_pid_stat: cutime, cstime).</summary>
    public static double OfChildren()
    {
        string[] fields = File.ReadAllText("/proc/self/stat").Split(") ")[1].Split(' ');
        return (double.Parse(fields[13], CultureInfo.InvariantCulture) + double.Parse(fields[14], CultureInfo.InvariantCulture)) / 100;
    }
}

using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using Tonematch.Testing;

namespace Tonematch.Bench.Luts;

/// <summary>Many broken files through every reader: how many were read, refused, and failed; the slowest of all.</summary>
internal static class ReaderFuzzBench
{
    public static int Run(string[] args)
    {
        int count = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 1_000_000;
        int start = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 0;
        int refused = 0, faults = 0;
        double slowest = 0;
        int slowestNumber = 0;
        ConcurrentDictionary<string, int> kinds = new();
        Lock gate = new();
        Parallel.For(start, start + count, number =>
        {
            (string name, string text, Action<string> read) = ReaderFuzz.Input(number);
            long clock = Stopwatch.GetTimestamp();
            Exception? fault = null;
            try
            {
                read(text);
            }
            catch (UnusableInputException)
            {
                Interlocked.Increment(ref refused);
            }
#pragma warning disable CA1031 // Any other exception is what the fuzzer looks for.
            catch (Exception e)
#pragma warning restore CA1031
            {
                fault = e;
            }

            double seconds = Stopwatch.GetElapsedTime(clock).TotalSeconds;
            lock (gate)
            {
                kinds.AddOrUpdate(name, 1, static (_, n) => n + 1);
                if (seconds > slowest)
                {
                    (slowest, slowestNumber) = (seconds, number);
                }

                if (fault is not null && faults++ < 10)
                {
                    Console.WriteLine($"input {number} ({name}): {fault}");
                }
            }
        });
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{count} inputs from {start} on: {count - refused - faults} read, {refused} refused with a sentence, {faults} failed; slowest {slowest * 1000:0} ms (input {slowestNumber})"));
        Console.WriteLine(string.Join(", ", kinds.OrderBy(k => k.Key, StringComparer.Ordinal).Select(k => $"{k.Key} {k.Value}")));
        return faults == 0 ? 0 : 1;
    }
}

namespace Tonematch.Bench.Accuracy;

internal static class PhoneReadings
{
    public static int Run(string[] args)
    {
        _ = args;
        return 1;
    }
}

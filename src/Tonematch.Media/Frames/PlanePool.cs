using System.Collections.Concurrent;

namespace Tonematch.Media.Frames;

/// <summary>Reusable sets of three planes of one length, so that a stream's memory stays constant.</summary>
internal sealed class PlanePool(int length)
{
    private readonly ConcurrentBag<float[][]> _free = [];

    public float[][] Rent() => _free.TryTake(out float[][]? planes) ? planes : [new float[length], new float[length], new float[length]];

    public void Return(float[][] planes) => _free.Add(planes);
}

using Tonematch.Pictures;

namespace Tonematch.Media.Frames;

/// <summary>A frame of a stream. Dispose it after use: its memory is reused for later frames.</summary>
public sealed class TimedPicture : IDisposable
{
    private readonly PlanePool _pool;
    private Picture? _picture;
    private float[][]? _planes;

    internal TimedPicture(Picture picture, double seconds, float[][] planes, PlanePool pool) =>
        (_picture, Seconds, _planes, _pool) = (picture, seconds, planes, pool);

    /// <summary>Upright, in the clip's encoding. Valid until this object is disposed.</summary>
    /// <exception cref="ObjectDisposedException">It was disposed.</exception>
    public Picture Picture => _picture ?? throw new ObjectDisposedException(nameof(TimedPicture));

    internal float[][] PlanesForTests => _planes ?? [];

    /// <summary>Presentation time on the clip's time line (0 = first frame).</summary>
    public double Seconds { get; }

    /// <inheritdoc/>
    public void Dispose()
    {
        _picture = null;
        if (Interlocked.Exchange(ref _planes, null) is { } planes)
        {
            _pool.Return(planes);
        }
    }
}

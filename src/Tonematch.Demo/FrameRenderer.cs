using System.Collections.Concurrent;
using System.Numerics;
using System.Runtime.Intrinsics;

namespace Tonematch.Demo;

/// <summary>
/// Draws the frames of one camera as 8-bit limited-range BT.709 Y'CbCr 4:2:0, chroma sited left as H.264 assumes.
/// Static things are painted once per state of the lamp; a frame repaints only the rectangle in which things move, and
/// has its own noise. Thread-safe.
/// </summary>
internal sealed class FrameRenderer
{
    // Planes hold 64 steps for each 8-bit code, so that noise is added before rounding: no banding.
    private const float Steps = 64;
    private const int NoiseLength = 1 << 18;

    private readonly DemoCamera _camera;
    private readonly int _width, _height;
    private readonly Vector4[][] _back;
    private readonly Vector4[][] _front;
    private readonly Vector4[][] _merged = new Vector4[2][];
    private readonly ushort[][] _still;
    private readonly ConcurrentBag<Canvas> _canvases = [];
    private readonly short[] _lumaNoise = new short[NoiseLength];
    private readonly short[] _chromaNoise = new short[NoiseLength];
    private readonly IReadOnlyList<(int Index, float Share)> _caption;

    public FrameRenderer(DemoCamera camera, CancellationToken cancel)
    {
        (_camera, _width, _height) = (camera, camera.Width, camera.Height);
        _back = [PaintAll([.. DemoScene.Back, .. DemoScene.LampShapes(false)], false, cancel).Light, PaintAll([.. DemoScene.Back, .. DemoScene.LampShapes(true)], true, cancel).Light];
        _front = [PaintAll(DemoScene.Front, false, cancel).Light, PaintAll(DemoScene.Front, true, cancel).Light];
        _still = [new ushort[PlaneLength], new ushort[PlaneLength]];
        for (int state = 0; state < 2; state++)
        {
            Canvas all = PaintAll([], false, cancel);
            _back[state].CopyTo(all.Light, 0);
            Over(all, _front[state]);
            Convert(all, _still[state]);
            _merged[state] = all.Light;
        }

        Random random = new(camera.Seed);
        for (int i = 0; i < NoiseLength; i++)
        {
            _lumaNoise[i] = (short)Math.Round(Normal(random) * camera.NoiseCodes * Steps);
            _chromaNoise[i] = (short)Math.Round(Normal(random) * camera.NoiseCodes * 0.6 * Steps);
        }

        _caption = Caption.Pixels(_width, _height, right: camera.StartSeconds == 0);
    }

    /// <summary>Bytes of one frame: Y, then Cb, then Cr.</summary>
    public int PlaneLength => _width * _height * 3 / 2;

    /// <summary>Draws frame <paramref name="index"/>.</summary>
    public byte[] Draw(int index)
    {
        double seconds = _camera.SceneSeconds(index);
        int state = seconds >= DemoScene.LampSeconds ? 1 : 0;
        if (!_canvases.TryTake(out Canvas? canvas))
        {
            canvas = new Canvas(_width, _height);
        }

        canvas.Begin(_back[state]);
        foreach (Shape shape in DemoScene.MovingBehind(seconds))
        {
            Paint(canvas, shape, state == 1, 0, _height);
        }

        Over(canvas, _front[state]);
        canvas.GoOn(_merged[state]);
        foreach (Shape shape in DemoScene.MovingInFront(seconds))
        {
            Paint(canvas, shape, state == 1, 0, _height);
        }

        ushort[] planes = canvas.Planes;
        _still[state].CopyTo(planes, 0);
        Convert(canvas, planes);
        foreach ((int at, float share) in _caption)
        {
            planes[at] = (ushort)(planes[at] + ((((16 + (219 * 0.78f)) * Steps) - planes[at]) * share * 0.55f));
        }

        byte[] frame = new byte[PlaneLength];
        Random random = new((_camera.Seed * 7919) + index);
        AddNoise(planes.AsSpan(0, _width * _height), frame, _lumaNoise, _width, random);
        AddNoise(planes.AsSpan(_width * _height), frame.AsSpan(_width * _height), _chromaNoise, _width / 2, random);
        _canvases.Add(canvas);
        return frame;
    }

    /// <summary>
    /// Linear camera RGB of one frame, in tiles: a tile is filled from the picture below when something is first
    /// painted on it, and only such tiles are converted again.
    /// </summary>
    private sealed class Canvas(int width, int height)
    {
        public const int Tile = 16;
        public readonly int Across = (width + Tile - 1) / Tile, Down = (height + Tile - 1) / Tile;
        public readonly Vector4[] Light = new Vector4[width * height];
        public readonly ushort[] Planes = new ushort[width * height * 3 / 2];
        private readonly bool[] _painted = new bool[((width + Tile - 1) / Tile) * ((height + Tile - 1) / Tile)];
        private Vector4[] _below = [];

        public void Begin(Vector4[] below)
        {
            _below = below;
            Array.Clear(_painted);
        }

        /// <summary>From here on fresh tiles start from another picture.</summary>
        public void GoOn(Vector4[] below) => _below = below;

        public bool IsPainted(int tile) => _painted[tile];

        /// <summary>The current value of a pixel.</summary>
        public Vector4 Seen(int x, int y) => (_painted[((y / Tile) * Across) + (x / Tile)] ? Light : _below)[(y * width) + x];

        public void Touch(int tile)
        {
            if (_painted[tile])
            {
                return;
            }

            _painted[tile] = true;
            int left = tile % Across * Tile, top = tile / Across * Tile, length = Math.Min(Tile, width - left);
            for (int y = top; y < Math.Min(top + Tile, height); y++)
            {
                _below.AsSpan((y * width) + left, length).CopyTo(Light.AsSpan((y * width) + left, length));
            }
        }
    }

    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private Canvas PaintAll(IReadOnlyList<Shape> shapes, bool lamp, CancellationToken cancel)
    {
        Canvas canvas = new(_width, _height);
        canvas.Begin(new Vector4[_width * _height]);
        for (int tile = 0; tile < canvas.Across * canvas.Down; tile++)
        {
            canvas.Touch(tile);
        }

        int bands = Environment.ProcessorCount * 2;
        Parallel.For(0, bands, new ParallelOptions { CancellationToken = cancel }, band =>
        {
            int top = _height * band / bands, bottom = _height * (band + 1) / bands;
            foreach (Shape shape in shapes)
            {
                cancel.ThrowIfCancellationRequested();
                Paint(canvas, shape, lamp, top, bottom);
            }
        });
        return canvas;
    }

    private void Paint(Canvas canvas, Shape shape, bool lamp, int fromRow, int toRow)
    {
        Vector2[] corners =
        [
            _camera.ToPixel(new(shape.Left, shape.Top), shape.Depth), _camera.ToPixel(new(shape.Right, shape.Top), shape.Depth),
            _camera.ToPixel(new(shape.Right, shape.Bottom), shape.Depth), _camera.ToPixel(new(shape.Left, shape.Bottom), shape.Depth),
        ];
        int left = Math.Max((int)MathF.Floor(corners.Min(c => c.X)) - 1, 0), right = Math.Min((int)MathF.Ceiling(corners.Max(c => c.X)) + 1, _width);
        int top = Math.Max((int)MathF.Floor(corners.Min(c => c.Y)) - 1, fromRow), bottom = Math.Min((int)MathF.Ceiling(corners.Max(c => c.Y)) + 1, toRow);
        Vector2 step = _camera.ToScene(new(1, 0), 0) - _camera.ToScene(Vector2.Zero, 0);
        for (int y = top; y < bottom; y++)
        {
            Vector2 place = _camera.ToScene(new(left + 0.5f, y + 0.5f), shape.Depth);
            int at = (y * _width) + left, tiles = y / Canvas.Tile * canvas.Across;
            for (int x = left; x < right; x++, at++, place += step)
            {
                Surface s = shape.At(place, _camera.PerUnit);
                if (s.Coverage > 0)
                {
                    canvas.Touch(tiles + (x / Canvas.Tile));
                    Vector4 seen = _camera.Sense(Lighting.Shade(s, place, lamp));
                    seen.W = 1;
                    canvas.Light[at] += (seen - canvas.Light[at]) * s.Coverage;
                }
            }
        }
    }

    /// <summary>Lays the front layer (premultiplied, w its coverage) over the painted tiles of a canvas.</summary>
    private void Over(Canvas canvas, Vector4[] front)
    {
        for (int tile = 0; tile < canvas.Across * canvas.Down; tile++)
        {
            if (!canvas.IsPainted(tile))
            {
                continue;
            }

            int left = tile % canvas.Across * Canvas.Tile, top = tile / canvas.Across * Canvas.Tile;
            for (int y = top; y < Math.Min(top + Canvas.Tile, _height); y++)
            {
                for (int at = (y * _width) + left, end = at + Math.Min(Canvas.Tile, _width - left); at < end; at++)
                {
                    canvas.Light[at] = front[at] + (canvas.Light[at] * (1 - front[at].W));
                }
            }
        }
    }

    /// <summary>
    /// The painted tiles' linear camera RGB to Y'CbCr (BT.709 item 3), limited range, chroma averaged to 4:2:0 with the
    /// weights 1 2 1 around the left-sited sample.
    /// </summary>
    private void Convert(Canvas canvas, ushort[] planes)
    {
        int half = _width / 2, chroma = _width * _height;
        for (int tile = 0; tile < canvas.Across * canvas.Down; tile++)
        {
            if (!canvas.IsPainted(tile))
            {
                continue;
            }

            int left = tile % canvas.Across * Canvas.Tile, top = tile / canvas.Across * Canvas.Tile;
            int right = Math.Min(left + Canvas.Tile, _width);
            for (int y = top; y < Math.Min(top + Canvas.Tile, _height); y += 2)
            {
                // The sums of the two rows' chroma at the even pixel and at its neighbours.
                (float B, float R) before = left > 0 ? Chroma(canvas, left - 1, y) : Chroma(canvas, 0, y);
                for (int x = left; x < right; x += 2)
                {
                    (float B, float R) here = Chroma(canvas, x, y, planes), after = Chroma(canvas, x + 1, y, planes);
                    int at = chroma + (y / 2 * half) + (x / 2);
                    float b = 0.125f * (before.B + (2 * here.B) + after.B) / 1.8556f, r = 0.125f * (before.R + (2 * here.R) + after.R) / 1.5748f;
                    planes[at] = (ushort)(((128 + (224 * b)) * Steps) + 0.5f);
                    planes[at + (half * _height / 2)] = (ushort)(((128 + (224 * r)) * Steps) + 0.5f);
                    before = after;
                }
            }
        }
    }

    private (float B, float R) Chroma(Canvas canvas, int x, int y, ushort[]? planes = null)
    {
        Vector4 upper = planes is null ? canvas.Seen(x, y) : canvas.Light[(y * _width) + x];
        Vector4 lower = planes is null ? canvas.Seen(x, y + 1) : canvas.Light[((y + 1) * _width) + x];
        upper = _camera.Style.Code(upper);
        lower = _camera.Style.Code(lower);
        Vector4 weights = new(0.2126f, 0.7152f, 0.0722f, 0);
        float a = Vector4.Dot(upper, weights), b = Vector4.Dot(lower, weights);
        if (planes is not null)
        {
            planes[(y * _width) + x] = (ushort)(((16 + (219 * a)) * Steps) + 0.5f);
            planes[((y + 1) * _width) + x] = (ushort)(((16 + (219 * b)) * Steps) + 0.5f);
        }

        return (upper.Z + lower.Z - a - b, upper.X + lower.X - a - b);
    }

    private static void AddNoise(ReadOnlySpan<ushort> plane, Span<byte> result, short[] noise, int width, Random random)
    {
        Vector256<short> rounding = Vector256.Create((short)(Steps / 2));
        for (int row = 0; row < plane.Length; row += width)
        {
            int length = Math.Min(width, plane.Length - row), x = 0;
            ReadOnlySpan<short> grain = noise.AsSpan(random.Next(NoiseLength - length), length);
            ReadOnlySpan<ushort> from = plane.Slice(row, length);
            Span<byte> to = result.Slice(row, length);
            for (; x + 32 <= length; x += 32)
            {
                Vector256<short> a = Vector256.Create(from[x..]).AsInt16() + Vector256.Create(grain[x..]) + rounding;
                Vector256<short> b = Vector256.Create(from[(x + 16)..]).AsInt16() + Vector256.Create(grain[(x + 16)..]) + rounding;
                a = Vector256.ShiftRightArithmetic(Vector256.Max(a, Vector256<short>.Zero), 6);
                b = Vector256.ShiftRightArithmetic(Vector256.Max(b, Vector256<short>.Zero), 6);
                Vector256.NarrowWithSaturation(a.AsUInt16(), b.AsUInt16()).CopyTo(to[x..]);
            }

            for (; x < length; x++)
            {
                to[x] = (byte)Math.Clamp((from[x] + grain[x] + (int)(Steps / 2)) >> 6, 0, 255);
            }
        }
    }
}

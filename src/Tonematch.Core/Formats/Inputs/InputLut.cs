using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Luts;

namespace Tonematch.Formats.Inputs;

/// <summary>
/// Converts a camera's recording to one of the known encodings before its colours are used, for example with a camera
/// maker's table for a log profile. Immutable and thread-safe.
/// </summary>
public sealed class InputLut
{
    private readonly Func<CodeRgb, CodeRgb> _apply;
    private readonly LutEngine? _engine;

    /// <summary>The content of a .cube file.</summary>
    /// <param name="path">The path of the file.</param>
    /// <param name="cube">Its tables.</param>
    public InputLut(string path, CubeFile cube)
    {
        ArgumentNullException.ThrowIfNull(path);
        ArgumentNullException.ThrowIfNull(cube);
        (Path, Steps, _apply) = (path, cube.ToSteps(), code => cube.Apply(code));
        _engine = cube is { Shaper: null, Table: { } table } ? new LutEngine(table) : null;
    }

    /// <summary>The content of a .clf file.</summary>
    /// <param name="path">The path of the file.</param>
    /// <param name="clf">Its steps.</param>
    public InputLut(string path, ClfFile clf)
    {
        ArgumentNullException.ThrowIfNull(path);
        ArgumentNullException.ThrowIfNull(clf);
        (Path, Steps, _apply) = (path, clf.Nodes, clf.Apply);
    }

    /// <summary>The file.</summary>
    public string Path { get; }

    /// <summary>The same as CLF steps, to be placed in front of others.</summary>
    public ImmutableArray<ClfNode> Steps { get; }

    /// <summary>Converts one colour from code values as recorded to the known encoding. Not clamped.</summary>
    public CodeRgb Apply(CodeRgb recorded) => _apply(recorded);

    /// <summary>Converts three planes of a picture in place, on all cores.</summary>
    /// <exception cref="ArgumentException">The planes' lengths differ.</exception>
    public void Apply(float[] r, float[] g, float[] b)
    {
        ArgumentNullException.ThrowIfNull(r);
        ArgumentNullException.ThrowIfNull(g);
        ArgumentNullException.ThrowIfNull(b);
        if (g.Length != r.Length || b.Length != r.Length)
        {
            throw new ArgumentException("All three planes must have the same length.");
        }

        PixelPortions.ForEach(r.Length, (from, length) =>
        {
            if (_engine is not null)
            {
                Span<float> red = r.AsSpan(from, length), green = g.AsSpan(from, length), blue = b.AsSpan(from, length);
                _engine.Apply(red, green, blue, red, green, blue);
                return;
            }

            for (int i = from; i < from + length; i++)
            {
                CodeRgb known = _apply(new CodeRgb(r[i], g[i], b[i]));
                (r[i], g[i], b[i]) = ((float)known.R, (float)known.G, (float)known.B);
            }
        });
    }
}

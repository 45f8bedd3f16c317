using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Checking;

/// <summary>
/// Collects a check instant by instant in bounded memory. It keeps the figures of every instant, but the colours of at
/// most <see cref="MostKept"/> evenly spread instants, which represent all in the overall and zone figures.
/// </summary>
public sealed class CheckedSeries
{
    /// <summary>The largest number of instants whose colours are kept.</summary>
    public const int MostKept = 2000;

    private readonly SignalEncoding _encoding;
    private readonly ImmutableArray<InstantFigures>.Builder _figures = ImmutableArray.CreateBuilder<InstantFigures>();
    private List<CheckedInstant> _kept = [];
    private int _every = 1;

    /// <summary>An empty series.</summary>
    /// <param name="encoding">The primary's encoding, in which all colours are given.</param>
    public CheckedSeries(SignalEncoding encoding)
    {
        ArgumentNullException.ThrowIfNull(encoding);
        _encoding = encoding;
    }

    /// <summary>The number of instants added.</summary>
    public int Count => _figures.Count;

    /// <summary>Adds the next instant.</summary>
    /// <exception cref="ArgumentException">It has no colours, or is earlier than the one added last.</exception>
    public void Add(CheckedInstant instant)
    {
        ArgumentNullException.ThrowIfNull(instant);
        if (instant.Colours.IsDefaultOrEmpty)
        {
            throw new ArgumentException("Every instant needs at least one colour.", nameof(instant));
        }

        if (_figures.Count > 0 && instant.PrimarySeconds < _figures[^1].PrimarySeconds)
        {
            throw new ArgumentException("Instants are added in order of time.", nameof(instant));
        }

        if (_figures.Count % _every == 0)
        {
            if (_kept.Count == MostKept)
            {
                _kept = [.. _kept.Where((_, i) => i % 2 == 0)];
                _every *= 2;
            }

            if (_figures.Count % _every == 0)
            {
                _kept.Add(instant);
            }
        }

        _figures.Add(MatchCheck.FiguresOf(instant, _encoding));
    }

    /// <summary>The result over all instants added.</summary>
    /// <param name="tolerance">Mean CIEDE2000 that passes, above 0.</param>
    /// <exception cref="InvalidOperationException">Nothing was added.</exception>
    public CheckResult Evaluate(double tolerance)
    {
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(tolerance, 0);
        return _figures.Count > 0
            ? MatchCheck.Evaluate(_figures.ToImmutable(), [.. _kept], _encoding, tolerance)
            : throw new InvalidOperationException("There is nothing to evaluate.");
    }
}

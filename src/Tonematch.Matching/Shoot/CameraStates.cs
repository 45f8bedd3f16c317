using System.Collections.Immutable;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.States;

namespace Tonematch.Matching.Shoot;

/// <summary>The lighting states for which a camera needs separate corrections.</summary>
/// <param name="Stretches">When each state holds, on the shoot's clock.</param>
/// <param name="Corrections">One for each state, in the order of their numbers.</param>
/// <param name="Comparison">One correction for all compared with one for each, on colours left out of the fit.</param>
public sealed record CameraStates(ImmutableArray<LightStretch> Stretches, ImmutableArray<StateCorrection> Corrections, StateComparison Comparison)
{
    /// <summary>The parts of a clip in time order, with the state of each.</summary>
    /// <param name="clip">A placed clip.</param>
    public ImmutableArray<LightStretch> PartsOf(Tonematch.Shoot.PlacedClip clip)
    {
        ArgumentNullException.ThrowIfNull(clip);
        double end = clip.Clip.DurationSeconds;
        double[] edges = [0, .. Stretches.Skip(1).Select(s => clip.ClipTime(s.FromSeconds)).Where(t => t > 0 && t < end), end];
        ImmutableArray<LightStretch>.Builder parts = ImmutableArray.CreateBuilder<LightStretch>();
        for (int k = 0; k + 1 < edges.Length; k++)
        {
            int state = LightStates.At(Stretches, clip.ShootTime((edges[k] + edges[k + 1]) / 2));
            if (parts.Count > 0 && parts[^1].State == state)
            {
                parts[^1] = parts[^1] with { ToSeconds = edges[k + 1] };
            }
            else
            {
                parts.Add(new LightStretch(edges[k], edges[k + 1], state));
            }
        }

        return parts.ToImmutable();
    }
}

/// <summary>The correction of one lighting state.</summary>
/// <param name="State">Its number, from 0.</param>
/// <param name="Chosen">The correction; borrowed from another state if this one has too few samples.</param>
/// <param name="Samples">The number of corresponding colours it was fitted to; 0 if borrowed.</param>
/// <param name="TakenFrom">The state the correction comes from: this one, or the one with the nearest light.</param>
public sealed record StateCorrection(int State, BakedCorrection Chosen, int Samples, int TakenFrom)
{
    /// <summary>Whether the correction is borrowed from another state.</summary>
    public bool IsTaken => TakenFrom != State;
}

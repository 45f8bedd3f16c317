using System.Collections.Immutable;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.States;

namespace Tonematch.Matching.Shoot;

/// <summary>The states of the light that a camera needs a correction each for.</summary>
/// <param name="Stretches">When each state holds, on the shoot's clock.</param>
/// <param name="Corrections">One for each state, in the order of their numbers.</param>
/// <param name="Comparison">One for all against one for each, on colours left out.</param>
public sealed record CameraStates(ImmutableArray<LightStretch> Stretches, ImmutableArray<StateCorrection> Corrections, StateComparison Comparison)
{
    /// <summary>The parts of a clip, in order of its own time: which state holds from when to when.</summary>
    /// <param name="clip">A clip with a place.</param>
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

/// <summary>The correction of one state of the light.</summary>
/// <param name="State">Its number, from 0.</param>
/// <param name="Chosen">The correction; that of another state where this one has too few samples of its own.</param>
/// <param name="Samples">How many corresponding colours it was fitted to; 0 where another's is taken.</param>
/// <param name="TakenFrom">The state whose correction it is: its own number, or the nearest light's.</param>
public sealed record StateCorrection(int State, BakedCorrection Chosen, int Samples, int TakenFrom)
{
    /// <summary>Another state's correction stands in for one of its own.</summary>
    public bool IsTaken => TakenFrom != State;
}

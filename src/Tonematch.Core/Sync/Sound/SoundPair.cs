using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Sync.Sound;

/// <summary>Both sounds of a pair, prepared for comparing sections at one rate.</summary>
internal sealed class SoundPair
{
    public SoundPair(MonoSound primary, OnsetEnvelope primaryOnsets, MonoSound secondary, OnsetEnvelope secondaryOnsets, int highestRate)
    {
        Rate = Math.Min(highestRate, Math.Min(primary.SampleRate, secondary.SampleRate));
        (Primary, PrimaryOnsets, PrimaryReader) = (primary, primaryOnsets, new SoundReader(primary, Rate));
        (Secondary, SecondaryOnsets, SecondaryReader) = (secondary, secondaryOnsets, new SoundReader(secondary, Rate));
    }

    public int Rate { get; }

    public MonoSound Primary { get; }

    public OnsetEnvelope PrimaryOnsets { get; }

    public SoundReader PrimaryReader { get; }

    public MonoSound Secondary { get; }

    public OnsetEnvelope SecondaryOnsets { get; }

    public SoundReader SecondaryReader { get; }
}

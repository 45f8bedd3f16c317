using Tonematch.Colour;
using Tonematch.Formats.Cdl;

namespace Tonematch.Formats.Clf;

/// <summary>An ASC CDL.</summary>
/// <param name="Numbers">Its ten numbers.</param>
/// <param name="IsInverse">Whether to apply the inverse (styles Rev and RevNoClamp).</param>
/// <param name="Clamps">Whether to clamp to 0..1 as in ASC CDL v1.2 (styles Fwd and Rev).</param>
public sealed record ClfAscCdl(CdlNumbers Numbers, bool IsInverse = false, bool Clamps = true) : ClfNode
{
    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) =>
        IsInverse ? Numbers.ApplyInverse(code, Clamps) : Numbers.Apply(code, Clamps);
}

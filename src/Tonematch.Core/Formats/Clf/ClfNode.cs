using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>
/// One step of a CLF process list. All numbers are stored normalised: 1 is the largest code of an integer bit depth and
/// 1.0 of a float one, so bit depths do not affect the computation.
/// </summary>
public abstract record ClfNode
{
    private protected ClfNode()
    {
    }

    /// <summary>The step's description in the file.</summary>
    public string? Description { get; init; }

    /// <summary>Applies the step to one colour.</summary>
    public abstract CodeRgb Apply(CodeRgb code);
}

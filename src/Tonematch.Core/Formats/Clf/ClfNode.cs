using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>
/// One step of a CLF process list. All numbers are kept normalised: 1 is the largest code of an integer bit depth
/// and 1.0 of a float one, so bit depths do not matter when colours are computed.
/// </summary>
public abstract record ClfNode
{
    private protected ClfNode()
    {
    }

    /// <summary>What the file says about the step.</summary>
    public string? Description { get; init; }

    /// <summary>One colour through the step.</summary>
    public abstract CodeRgb Apply(CodeRgb code);
}

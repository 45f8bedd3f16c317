using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>A CLF process list: steps applied to a colour in order.</summary>
/// <param name="Nodes">At least one step.</param>
public sealed record ClfFile(ImmutableArray<ClfNode> Nodes)
{
    /// <summary>At least one step.</summary>
    public ImmutableArray<ClfNode> Nodes { get; } = Nodes.IsDefaultOrEmpty
        ? throw new ArgumentException("A process list has at least one step.", nameof(Nodes))
        : Nodes;

    /// <summary>The list's id.</summary>
    public string? Id { get; init; }

    /// <summary>The list's name.</summary>
    public string? Name { get; init; }

    /// <summary>The file's description; several descriptions are separated by line ends.</summary>
    public string? Description { get; init; }

    /// <summary>Description of the input colours.</summary>
    public string? InputDescriptor { get; init; }

    /// <summary>Description of the output colours.</summary>
    public string? OutputDescriptor { get; init; }

    /// <summary>Applies all steps to one colour.</summary>
    public CodeRgb Apply(CodeRgb code)
    {
        foreach (ClfNode node in Nodes)
        {
            code = node.Apply(code);
        }

        return code;
    }
}

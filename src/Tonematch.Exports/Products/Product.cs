using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Reporting;

namespace Tonematch.Exports.Products;

/// <summary>
/// One file that a match delivers: its name, what it is, and how it is made. To add one, write a class and list it in
/// <see cref="All"/>.
/// </summary>
public abstract class Product
{
    /// <summary>Every product, in the order in which people need them.</summary>
    public static ImmutableArray<Product> All { get; } =
    [
        new ReportProduct(), new CubeProduct(), new ClfProduct(), new CdlProduct(), new NumbersProduct(), new JsonProduct(), new PairsProduct(), new DriftProduct(),
    ];

    /// <summary>The file's name.</summary>
    public abstract string Name { get; }

    /// <summary>What the file is and what to do with it, in a few words.</summary>
    public abstract string Description { get; }

    /// <summary>Whether an outcome has this product.</summary>
    public virtual bool IsMadeOf(MatchOutcome outcome) => true;

    /// <summary>
    /// Whether the file is evidence about the match, which is written whatever the verdict, rather than part of the
    /// correction.
    /// </summary>
    public virtual bool IsEvidence => false;

    /// <summary>The file's text; a correction has already been read back and compared.</summary>
    /// <param name="outcome">The result of the match.</param>
    /// <param name="context">Further content, and where the file will be.</param>
    public abstract string Make(MatchOutcome outcome, ProductContext context);
}

/// <summary>What a product needs beyond the outcome.</summary>
/// <param name="Report">Further content of the report.</param>
/// <param name="PathOf">The future full path of the product with a given name.</param>
public sealed record ProductContext(ReportContext Report, Func<string, string> PathOf);

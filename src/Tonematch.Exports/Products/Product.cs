using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Reporting;

namespace Tonematch.Exports.Products;

/// <summary>One file that a match hands over: its name, what it is, and how it is made. Add one by a class and a line in <see cref="All"/>.</summary>
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

    /// <summary>Whether an outcome has this product at all.</summary>
    public virtual bool IsMadeOf(MatchOutcome outcome) => true;

    /// <summary>Whether it tells of the match, and is written whatever the verdict; what carries the correction is not.</summary>
    public virtual bool IsEvidence => false;

    /// <summary>The file's text; a correction has been read back and compared.</summary>
    /// <param name="outcome">What was found.</param>
    /// <param name="context">What else is said, and where the file will lie.</param>
    public abstract string Make(MatchOutcome outcome, ProductContext context);
}

/// <summary>What a product needs beyond the outcome.</summary>
/// <param name="Report">What the report says beyond the outcome.</param>
/// <param name="PathOf">The full path that a product of this name will have.</param>
public sealed record ProductContext(ReportContext Report, Func<string, string> PathOf);

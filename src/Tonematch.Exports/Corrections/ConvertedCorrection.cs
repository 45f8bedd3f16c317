using System.Collections.Immutable;
using Tonematch.Luts.Tables;

namespace Tonematch.Exports.Corrections;

/// <summary>A correction that was written in another format.</summary>
/// <param name="Difference">What was read back against the original, over 0..1.</param>
/// <param name="Notes">What the format costs, in sentences.</param>
public sealed record ConvertedCorrection(LutDifference Difference, ImmutableArray<string> Notes);

using System.Collections.Immutable;
using Tonematch.Luts.Tables;

namespace Tonematch.Exports.Corrections;

/// <summary>A correction written in another format.</summary>
/// <param name="Difference">The difference of the file as read back from the original, over 0..1.</param>
/// <param name="Notes">What the format loses, in sentences.</param>
public sealed record ConvertedCorrection(LutDifference Difference, ImmutableArray<string> Notes);

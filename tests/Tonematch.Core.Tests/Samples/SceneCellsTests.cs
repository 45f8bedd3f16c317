using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

/// <summary>Cells of a scene that lie in the same place of both pictures.</summary>
public class SceneCellsTests
{
    // The plane of a chart and what was recognised around it may both lead to a cell: sets of both have it under one name.
    [Fact]
    public void Sample_WithOtherCellsFree_GivesACellTheSameNameAndNoTwoCellsOne()
    {
        SamplePair[] all = Cells(_ => true), right = Cells(c => c.X > 150);
        Assert.True(right.Length > 5 && right.Length < all.Length, $"{right.Length} of {all.Length}");
        Assert.Distinct(all.Select(p => p.Id));
        Assert.All(right, p => Assert.Equal(all.Single(q => q.Id == p.Id).Origin!.Primary, p.Origin!.Primary));
    }

    private static SamplePair[] Cells(Func<PicturePoint, bool> isFree)
    {
        // Broad waves of colour, so that cells differ and each is nearly plain.
        Picture Seen(double gain) => DrawnPicture.Of(300, 200, (x, y) => new CodeRgb(
            gain * (0.4 + (0.2 * Math.Sin(x / 40.0))), gain * (0.4 + (0.2 * Math.Sin(y / 30.0))), gain * (0.4 + (0.2 * Math.Sin((x + y) / 50.0)))));
        return [.. SceneCells.Sample(Seen(1), Seen(0.8), _ => q => q, isFree, 1, 1).Pairs];
    }
}

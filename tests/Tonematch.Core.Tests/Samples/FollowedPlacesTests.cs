using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class FollowedPlacesTests
{
    private const int Cell = 12;

    [Fact]
    public void At_SamePicturesBrighter_MeasuresEveryPlaceAnew()
    {
        FollowedPlaces places = Places();
        Assert.Equal(8, places.Count);
        ImmutableArray<FollowedColour> colours = places.At(Board(0.9), Board(0.5));
        Assert.Equal(8, colours.Length);

        // The boards are drawn: a cell's colour times the factor.
        Assert.All(colours, c => Assert.Equal(c.Primary.G * 0.5 / 0.9, c.Secondary.G, 1e-5));
    }

    [Fact]
    public void At_SomethingElseCoversHalfOfOnePicture_DropsThosePlacesOnly()
    {
        Picture covered = DrawnPicture.Of(8 * Cell, 3 * Cell, (x, y) => x < 4 * Cell ? new CodeRgb(0.3 + (0.01 * (y % 7)), 0.4 + (0.02 * (x % 5)), 0.3) : Cells(x, y, 0.8));
        ImmutableArray<FollowedColour> colours = Places().At(Board(0.8), covered);
        Assert.InRange(colours.Length, 3, 5);
        Assert.All(colours, c => Assert.Equal(c.Primary.G, c.Secondary.G, 1e-5));
    }

    [Fact]
    public void At_ClippedPlace_IsLeftOut() => Assert.DoesNotContain(Places().At(Board(1.6), Board(0.8)), c => c.Primary.R >= 0.98);

    [Fact]
    public void From_PlacesWithoutStructureAround_AreNotFollowed() =>
        Assert.Equal(0, FollowedPlaces.From(Flat(), Flat(), Pairs()).Count);

    [Fact]
    public void At_PicturesOfAnotherSize_IsRefused() =>
        Assert.Throws<ArgumentException>(() => Places().At(DrawnPicture.Of(10, 10, (_, _) => default), Board(0.8)));

    private static FollowedPlaces Places() => FollowedPlaces.From(Board(0.8), Board(0.8), Pairs());

    private static IEnumerable<SamplePair> Pairs() => Enumerable.Range(0, 8).Select(i =>
    {
        SamplePlace place = SamplePlace.Of(new PictureBox((i + 0.5) * Cell, 1.5 * Cell, Cell - 2, Cell - 2), Board(1));
        return new SamplePair($"p{i}", "g", default, default) { Origin = new SampleOrigin(0, 0, place, place) };
    });

    private static Picture Board(double factor) => DrawnPicture.Of(8 * Cell, 3 * Cell, (x, y) => Cells(x, y, factor));

    private static Picture Flat() => DrawnPicture.Of(8 * Cell, 3 * Cell, (_, _) => new CodeRgb(0.4, 0.4, 0.4));

    private static CodeRgb Cells(int x, int y, double factor)
    {
        int n = (x / Cell * 5) + (y / Cell * 3);
        return new CodeRgb(factor * (0.2 + (0.06 * (n % 11))), factor * (0.25 + (0.07 * (n * 7 % 9))), factor * (0.3 + (0.05 * (n * 3 % 8))));
    }
}

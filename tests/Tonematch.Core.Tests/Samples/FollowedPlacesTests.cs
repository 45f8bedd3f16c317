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

    [Theory]
    [InlineData(0, 0)]
    [InlineData(3, -2)]
    [InlineData(-7, 4)]
    [InlineData(29, 12)]
    public void Located_ViewsThatMoved_AreFoundAndTheirPlacesMeasuredThere(int x, int y)
    {
        FollowedPlaces places = FollowedPlaces.From(Wall(0, 0, 0.8), Wall(0, 0, 0.8), WallPairs());
        ViewShifts? shifts = places.Located(Wall(x, y, 0.8), Wall(-y, x / 2, 0.4), default, everywhere: true);
        Assert.Equal(new ViewShifts(x, y, -y, x / 2), shifts);
        ImmutableArray<FollowedColour> colours = places.At(Wall(x, y, 0.8), Wall(-y, x / 2, 0.4), shifts!.Value);
        Assert.InRange(colours.Length, 8, places.Count);
        Assert.All(colours, c => Assert.Equal(c.Primary.G / 2, c.Secondary.G, 1e-5));
    }

    [Fact]
    public void Located_AnotherView_IsNone()
    {
        FollowedPlaces places = FollowedPlaces.From(Wall(0, 0, 0.8), Wall(0, 0, 0.8), WallPairs());
        Assert.Null(places.Located(Wall(0, 0, 0.8), Wall(5000, 3000, 0.8), default, everywhere: true));
        Assert.Null(places.Located(Wall(29, 12, 0.8), Wall(0, 0, 0.8), default, everywhere: false));
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

    // A wall of stones of random lightness, seen from a camera that has moved by so many pixels.
    private static Picture Wall(int x, int y, double factor) => DrawnPicture.Of(240, 135, (i, j) =>
    {
        uint n = ((uint)((i - x + 9000) / 7) * 2654435761u) ^ ((uint)((j - y + 9000) / 7) * 40503u * 65599u);
        n ^= n >> 15;
        double v = 0.1 + (0.8 * ((n * 2246822519u) >> 16) / 65536.0);
        return new CodeRgb(factor * v, factor * v, factor * v);
    });

    private static IEnumerable<SamplePair> WallPairs() => Enumerable.Range(0, 40).Select(i =>
    {
        SamplePlace place = SamplePlace.Of(new PictureBox(36 + (24 * (i % 8)), 24 + (20 * (i / 8)), 9, 9), Wall(0, 0, 1));
        return new SamplePair($"w{i}", "g", default, default) { Origin = new SampleOrigin(0, 0, place, place) };
    });

    private static Picture Board(double factor) => DrawnPicture.Of(8 * Cell, 3 * Cell, (x, y) => Cells(x, y, factor));

    private static Picture Flat() => DrawnPicture.Of(8 * Cell, 3 * Cell, (_, _) => new CodeRgb(0.4, 0.4, 0.4));

    private static CodeRgb Cells(int x, int y, double factor)
    {
        int n = (x / Cell * 5) + (y / Cell * 3);
        return new CodeRgb(factor * (0.2 + (0.06 * (n % 11))), factor * (0.25 + (0.07 * (n * 7 % 9))), factor * (0.3 + (0.05 * (n * 3 % 8))));
    }
}

using CsCheck;
using Tonematch.Shoot;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Core.Tests.Shoot;

public class ShootClockTests
{
    [Fact]
    public void Solve_RandomEvenings_PlacesEveryClipThatMeetsAnother() => Gen.Int[0, 1_000_000].Sample(seed =>
    {
        Evening evening = Evening.Random(seed);
        ShootTimes times = ShootClock.Solve(evening.Clips, evening.Meetings());
        int zero = IndexOfReference(times);
        for (int i = 0; i < evening.Clips.Count; i++)
        {
            PlacedClip clip = times.Clips[i];
            if (clip.Basis == PlacementBasis.Meetings)
            {
                // A place is as good as it says (three standard errors); one that is called sure is right to a frame at 60 per second.
                double off = Math.Abs(evening.Starts[i] - evening.Starts[zero] - clip.StartSeconds);
                Assert.True(off < 0.01 + (3 * clip.ErrorSeconds), $"clip {i} is off by {off} s and says {clip.ErrorSeconds} s");
                Assert.False(clip.IsSure && off > 1 / 60.0, $"clip {i} is called sure and off by {off} s");
            }
        }
    }, iter: 300);

    [Fact]
    public void Solve_OneWrongMeetingAmongLoops_IsRefusedAndMovesNothing() => Gen.Int[0, 1_000_000].Sample(seed =>
    {
        // Three cameras that run throughout: every pair of clips meets, every meeting is in a loop.
        Evening evening = Evening.Full(seed, 4);
        List<Meeting> meetings = evening.Meetings();
        int wrong = seed % meetings.Count;
        meetings[wrong] = meetings[wrong] with { Sync = meetings[wrong].Sync with { OffsetSeconds = meetings[wrong].Sync.OffsetSeconds + 0.5 } };
        ShootTimes times = ShootClock.Solve(evening.Clips, meetings);
        Assert.Equal(wrong, Assert.Single(times.Refused).Meeting);
        Assert.Equal(0.5, Math.Abs(times.Refused[0].DisagreementSeconds), 0.02);
        Assert.All(times.Clips, (c, i) => Assert.Equal(evening.Starts[i], c.StartSeconds, 0.01));
        Assert.All(times.Clips, c => Assert.True(c.IsSure));
    }, iter: 200);

    [Fact]
    public void Solve_LoopOfThreeThatDoesNotClose_IsCalledSureNowhereButAtTheReference()
    {
        ShootClip[] clips = [new("A", "a", 100), new("B", "b", 100), new("C", "c", 100)];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.99, 1), Met(1, 2, 0.99, 1), Met(0, 2, 0.99, 3)]);
        Assert.False(times.Clips[1].IsSure && times.Clips[2].IsSure);
        Assert.Contains(times.Clips, c => c.Doubts.Any(d => d.Contains("say otherwise", StringComparison.Ordinal)));
        Assert.Single(times.Refused);
    }

    [Fact]
    public void Solve_MeetingThatPutsTwoClipsOfOneCameraAtOneTime_IsRefused()
    {
        ShootClip[] clips = [new("A", "a", 100), new("B", "b1", 50), new("B", "b2", 50)];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, 0), Met(0, 2, 0.95, -10)]);
        Assert.Equal(1, Assert.Single(times.Refused).Meeting);
        Assert.Equal(PlacementBasis.None, times.Clips[2].Basis);
    }

    [Fact]
    public void Solve_ClipThatOnlyMeetsAnotherSecondary_IsPlacedThroughIt()
    {
        ShootClip[] clips = [new("A", "a", 60), new("B", "b", 200), new("C", "c", 60)];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, 20), Met(1, 2, 0.999, -120)]);
        Assert.Equal(-20, times.Clips[1].StartSeconds, 3);
        Assert.Equal(100, times.Clips[2].StartSeconds, 3);
        Assert.True(times.Clips[2].IsSure);
    }

    // Its clock puts it a week before the others: no gap of a week on the timeline, and it is said why.
    [Fact]
    public void Solve_ClipOfAnotherDayThatMetNobody_HasNoPlace()
    {
        ShootClip[] clips =
        [
            new("A", "a", 300), new("B", "b1", 60, new DeviceTime(1_000_000, 3)), new("B", "old", 60, new DeviceTime(1_000_000 - (7 * 86400), 3)),
        ];
        PlacedClip old = ShootClock.Solve(clips, [Met(0, 1, 0.999, -5)]).Clips[2];
        Assert.Equal(PlacementBasis.None, old.Basis);
        Assert.Contains("168 hours from the others", Assert.Single(old.Doubts), StringComparison.Ordinal);
    }

    [Fact]
    public void Solve_ClipThatMetNobodyButHasATimecode_IsPlacedByItsCamerasClock()
    {
        ShootClip[] clips =
        [
            new("A", "a", 300), new("B", "b1", 60, new DeviceTime(3600, 0.04)), new("B", "b2", 60, new DeviceTime(3700, 0.04)),
        ];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, -5)]);
        Assert.Equal(PlacementBasis.DeviceClock, times.Clips[2].Basis);
        Assert.Equal(105, times.Clips[2].StartSeconds, 3);
        Assert.False(times.Clips[2].IsSure);
        Assert.Equal(5 - 3600, times.Clocks[1].OffsetSeconds!.Value, 3);
    }

    [Fact]
    public void Solve_CameraWhoseClockShowsAWrongDate_IsPlacedByItsSoundAllTheSame()
    {
        const double years = 4 * 365 * 86400.0;
        ShootClip[] clips =
        [
            new("A", "a", 300, new DeviceTime(0, 2)), new("B", "b1", 60, new DeviceTime(-years, 2)), new("B", "b2", 60, new DeviceTime(100 - years, 2)),
        ];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, -5), Met(0, 2, 0.999, -105)]);
        Assert.Equal([0, 5, 105], times.Clips.Select(c => Math.Round(c.StartSeconds, 3)));
        Assert.All(times.Clips, c => Assert.Empty(c.Doubts));
    }

    [Fact]
    public void Solve_ClipWhoseFileDateIsAnothers_IsNamed()
    {
        ShootClip[] clips =
        [
            new("A", "a", 300), new("B", "b1", 20, new DeviceTime(0, 2)), new("B", "b2", 20, new DeviceTime(50, 2)), new("B", "b3", 20, new DeviceTime(90000, 2)),
        ];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, -5), Met(0, 2, 0.999, -55), Met(0, 3, 0.999, -105)]);
        Assert.Contains("own clock puts it", Assert.Single(times.Clips[3].Doubts), StringComparison.Ordinal);
        Assert.Empty(times.Clips[1].Doubts);
    }

    [Fact]
    public void Solve_SplitRecording_SaysWhichClipGoesOn()
    {
        ShootClip[] clips = [new("A", "a", 300), new("B", "b1", 60), new("B", "b2", 60), new("B", "b3", 60)];
        ShootTimes times = ShootClock.Solve(clips, [Met(0, 1, 0.999, -5), Met(0, 2, 0.999, -65.01), Met(0, 3, 0.999, -140)]);
        Assert.Equal([null, null, "b1", null], times.Clips.Select(c => c.Continues));
    }

    [Fact]
    public void Solve_RateMeasuredInOneClip_HoldsForTheCamerasOtherClips()
    {
        // b2 is too short to measure a drift; 40 ppm over its 30 s are 1.2 ms.
        ShootClip[] clips = [new("A", "a", 3000), new("B", "b1", 2000), new("B", "b2", 30)];
        Meeting first = Met(0, 1, 0.999, -10, 2000) with { };
        first = first with { Sync = first.Sync with { DriftPpm = 40, Evidence = first.Sync.Evidence with { DriftErrorPpm = 0.5 } } };
        ShootTimes times = ShootClock.Solve(clips, [first, Met(0, 2, 0.999, -2500, 30)]);
        Assert.Equal(40, times.Clips[2].RatePpm, 0.5);
        Assert.Equal(40, times.Clocks[1].RatePpm, 0.5);
        Assert.True(double.IsPositiveInfinity(ShootClock.Solve(clips, [Met(0, 1, 0.999, -10, 2000)]).Clocks[1].RateErrorPpm));
    }

    [Fact]
    public void Solve_MeetingOfAClipWithItself_IsTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => ShootClock.Solve([new ShootClip("A", "a", 10)], [Met(0, 0, 0.9, 1)]));

    private static int IndexOfReference(ShootTimes times) => times.Clips.Select((c, i) => (c, i)).Single(c => c.c.Basis == PlacementBasis.Reference).i;

    private static Meeting Met(int first, int second, double confidence, double offset, double overlap = 20) => new(
        first, second, new SyncFound(offset, 0, confidence, SyncMethod.Sound, new SyncEvidence { OverlapSeconds = overlap, OverlapStartSeconds = Math.Max(0, -offset), OffsetErrorSeconds = 0.001 }));

    /// <summary>Places and rates that are known, and what perfect listening with a millisecond of error would say.</summary>
    private sealed record Evening(IReadOnlyList<ShootClip> Clips, double[] Starts, double[] Rates, int Seed)
    {
        public static Evening Random(int seed)
        {
            Random random = new(seed);
            List<ShootClip> clips = [];
            List<double> starts = [], rates = [];
            int cameras = random.Next(2, 6);
            for (int c = 0; c < cameras; c++)
            {
                double at = 100 * random.NextDouble(), rate = c == 0 ? 0 : 60 * ((2 * random.NextDouble()) - 1);
                for (int k = random.Next(1, 7); k > 0; k--)
                {
                    double length = 20 + (600 * random.NextDouble());
                    clips.Add(new ShootClip($"{c}", $"{c}-{k}", length * (1 + (rate * 1e-6))));
                    starts.Add(at);
                    rates.Add(rate);
                    at += length + (random.Next(3) == 0 ? 0 : 60 * random.NextDouble());
                }
            }

            return new Evening(clips, [.. starts.Select(s => s - starts[0])], [.. rates], seed);
        }

        public static Evening Full(int seed, int cameras)
        {
            Random random = new(seed);
            double[] rates = [.. Enumerable.Range(0, cameras).Select(c => c == 0 ? 0 : 60 * ((2 * random.NextDouble()) - 1))];
            double[] starts = [.. Enumerable.Range(0, cameras).Select(c => c == 0 ? 0 : 20 * random.NextDouble())];
            return new Evening([.. Enumerable.Range(0, cameras).Select(c => new ShootClip($"{c}", $"{c}", 400))], starts, rates, seed);
        }

        public List<Meeting> Meetings()
        {
            Random random = new(Seed + 1);
            List<Meeting> meetings = [];
            for (int i = 0; i < Clips.Count; i++)
            {
                for (int j = i + 1; j < Clips.Count; j++)
                {
                    double from = Math.Max(Starts[i], Starts[j]), to = Math.Min(Starts[i] + Clips[i].DurationSeconds, Starts[j] + Clips[j].DurationSeconds);
                    if (Clips[i].Camera == Clips[j].Camera || to - from < 10)
                    {
                        continue;
                    }

                    double ri = 1 + (Rates[i] * 1e-6), rj = 1 + (Rates[j] * 1e-6), drift = (rj / ri) - 1, middle = ((from + to) / 2 - Starts[i]) * ri;
                    double error = 0.001 * ((2 * random.NextDouble()) - 1), offset = (((from + to) / 2 - Starts[j]) * rj) - (middle * (1 + drift)) + error;
                    bool measured = to - from > 60;
                    meetings.Add(new Meeting(i, j, new SyncFound(
                        measured ? offset : offset + (drift * middle), measured ? (drift * 1e6) + (0.3 * random.NextDouble()) : 0, 0.97 + (0.0299 * random.NextDouble()), SyncMethod.Sound,
                        new SyncEvidence { OverlapSeconds = (to - from) * ri, OverlapStartSeconds = (from - Starts[i]) * ri, OffsetErrorSeconds = 0.001, DriftErrorPpm = measured ? 0.5 : 0 })));
                }
            }

            return meetings;
        }
    }
}

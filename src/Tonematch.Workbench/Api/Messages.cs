using System.Collections.Immutable;
using Tonematch.Workbench.Jobs;

namespace Tonematch.Workbench.Api;

// Messages to the page. Names become camelCase; places are shares 0..1 of the upright picture.

/// <summary>Everything a page needs when it opens.</summary>
internal sealed record StateMessage(
    long Version, string Program, ImmutableArray<string> Roots, string OutFolder, ImmutableArray<ClipMessage> Clips, SessionMessage Session,
    ImmutableArray<MatchMessage> Matches, IReadOnlyList<JobState> Jobs, ImmutableArray<string> Files, string Trouble);

/// <summary>A clip.</summary>
internal sealed record ClipMessage(string Id, string Name)
{
    public string Problem { get; init; } = "";

    public ImmutableArray<string> Facts { get; init; } = [];

    public ImmutableArray<string> Doubts { get; init; } = [];

    public bool IsStill { get; init; }

    public double Duration { get; init; }

    public double Rate { get; init; }

    public int Width { get; init; }

    public int Height { get; init; }

    public bool HasSound { get; init; }

    public bool IsHdr { get; init; }

    public bool IsWideGamut { get; init; }

    /// <summary>
    /// Whether the clip is 8-bit, 4:2:0 and tagged, so that a browser shows the right colours if it can play it.
    /// </summary>
    public bool MayPlay { get; init; }

    public string Type { get; init; } = "";

    public long Size { get; init; }

    public long Modified { get; init; }

    /// <summary>Whether a small copy for playback is ready.</summary>
    public bool HasPreview { get; init; }
}

/// <summary>The session as the page holds it, with clips as ids.</summary>
internal sealed record SessionMessage(string? Primary, ImmutableArray<SessionMatchMessage> Secondaries, int LutSize);

/// <summary>
/// The decisions about one clip. A member that the page omits keeps its default, which init-only members would lose in
/// JSON code generated at compile time.
/// </summary>
internal sealed record SessionMatchMessage(string Clip)
{
    public double? OffsetSeconds { get; set; }

    public double DriftPpm { get; set; }

    public string? Method { get; set; }

    public string? Chart { get; set; }

    public ImmutableArray<string> At { get; set; } = [];

    public double[][]? PrimaryChart { get; set; }

    public double[][]? SecondaryChart { get; set; }

    public ImmutableArray<string> LeftOut { get; set; } = [];

    public Dictionary<string, double> Weights { get; set; } = [];

    public ImmutableArray<RegionMessage> Regions { get; set; } = [];

    public string? Model { get; set; }

    public Dictionary<string, double> Trim { get; set; } = [];
}

/// <summary>A region marked in both pictures: corners as shares.</summary>
internal sealed record RegionMessage(string Name, double[][] Primary, double[][] Secondary, double? At);

/// <summary>New decisions, based on a version.</summary>
internal sealed record SessionUpdate(long Version, SessionMessage Session, bool Draft);

/// <summary>The match of one clip.</summary>
internal sealed record MatchMessage(string Clip)
{
    /// <summary>'none', 'ready', or 'stale' after changes that need the clips to be analysed again.</summary>
    public string Status { get; init; } = "none";

    public SyncMessage? Sync { get; init; }

    public string Source { get; init; } = "";

    public string Method { get; init; } = "";

    public int Pairs { get; init; }

    public double Before { get; init; }

    public double After { get; init; }

    public double AfterWithoutTrim { get; init; }

    public double? HeldOut { get; init; }

    /// <summary>'use', 'look-first' or 'do-not-use'.</summary>
    public string Verdict { get; init; } = "";

    /// <summary>The verdict in a sentence.</summary>
    public string Headline { get; init; } = "";

    /// <summary>The figure of the verdict, and what it was measured on.</summary>
    public double Figure { get; init; }

    public string FigureOn { get; init; } = "";

    public ImmutableArray<string> Reasons { get; init; } = [];

    public string Chosen { get; init; } = "";

    public string Advised { get; init; } = "";

    public ImmutableArray<KindMessage> Kinds { get; init; } = [];

    public ImmutableArray<string> Warnings { get; init; } = [];

    public string Difference { get; init; } = "";

    /// <summary>Increases with every new table.</summary>
    public long LutVersion { get; init; }

    public double FitMilliseconds { get; init; }

    public ImmutableArray<InstantMessage> OverTime { get; init; } = [];

    /// <summary>Whether the band over time belongs to the current correction.</summary>
    public bool OverTimeIsCurrent { get; init; }

    public ImmutableArray<double> Moments { get; init; } = [];

    public string Problem { get; init; } = "";
}

/// <summary>How two clips are aligned in time.</summary>
internal sealed record SyncMessage(double Offset, double Drift, double Confidence, string Words, bool ByHand, double From, double To, double? Moment, string Begins);

/// <summary>A kind of correction that was tried: its mean CIEDE2000 on its own, on unseen colours and in unseen places.</summary>
internal sealed record KindMessage(string Name, string Title, double Train, double? HeldOut, double? UnseenPlaces, string Why);

/// <summary>The match at an instant: 'holds', 'doubtful' or 'fails'.</summary>
internal sealed record InstantMessage(double T, double Mean, double P95, string Grade, double Stops);

/// <summary>A corresponding colour.</summary>
internal sealed record PairMessage(string Id, string Group, string Label)
{
    public bool IsOut { get; init; }

    public bool IsMarked { get; init; }

    public double T { get; init; }

    /// <summary>Centre x, y, width, height as shares; null when it came from a file.</summary>
    public double[]? A { get; init; }

    public double[]? B { get; init; }

    public double Before { get; init; }

    public double After { get; init; }

    public double Weight { get; init; }

    public string ColourA { get; init; } = "";

    public string ColourB { get; init; } = "";

    public string ColourMatched { get; init; } = "";

    /// <summary>CIELAB a*, b* of A, of B as recorded, of B matched.</summary>
    public double[] Ab { get; init; } = [];
}

/// <summary>Sound around an instant: minimum and maximum of each bin, -1..1.</summary>
internal sealed record SoundMessage(double From, double Span, float[] A, float[] B);

/// <summary>A colour under the pointer: of camera B as recorded and matched, and how far the match moves it.</summary>
internal sealed record PointMessage(double[] Recorded, double[] Matched, double Moved)
{
    /// <summary>Name of the most similar sample; empty when none is near.</summary>
    public string Near { get; init; } = "";

    /// <summary>Remaining Delta E at that sample.</summary>
    public double? NearAfter { get; init; }

    /// <summary>Camera A at the same place, which is known inside a pair of this instant; else null.</summary>
    public PointInA? A { get; init; }
}

/// <summary>The same place in camera A.</summary>
/// <param name="Colour">Its colour.</param>
/// <param name="Place">Position, as shares of its picture.</param>
/// <param name="Before">Delta E of camera B as recorded against it.</param>
/// <param name="After">Delta E of camera B matched against it.</param>
internal sealed record PointInA(double[] Colour, double[] Place, double Before, double After);

/// <summary>The outlines of the parts of camera B's picture whose colours no sample is near: x, y to x, y as shares.</summary>
internal sealed record UncoveredMessage(double[][] Edges, double Share);

/// <summary>What to hand over.</summary>
internal sealed record HandoverOrder(bool Replace, bool EvenSo, bool Hald, bool Clip, bool CutTest, bool Begins);

/// <summary>A sentence.</summary>
internal sealed record SayMessage(string Say);

/// <summary>A file the person dropped on the page.</summary>
internal sealed record DroppedFile(string Name, long Size, long Modified);

/// <summary>The clip that a dropped file was recognised as.</summary>
internal sealed record FoundFile(string? Id, string Say);

/// <summary>A clip to work on.</summary>
internal sealed record ClipOrder(string Clip);

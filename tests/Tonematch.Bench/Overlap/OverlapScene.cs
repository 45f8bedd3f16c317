namespace Tonematch.Bench.Overlap;

/// <summary>Two real photographs of one scene, perhaps with one of them cut and enlarged as a closer camera would see it.</summary>
/// <param name="Name">Says so.</param>
/// <param name="Primary">Path of the primary's photograph.</param>
/// <param name="Secondary">Path of the secondary's photograph.</param>
/// <param name="Zoom">Above 1: the secondary's middle, enlarged; below -1: the primary's; 1: both whole.</param>
/// <param name="How">How the true places are found: see true_places.py.</param>
/// <param name="Measured">File of the published disparities or homography, or empty.</param>
internal sealed record OverlapScene(string Name, string Primary, string Secondary, double Zoom, string How, string Measured = "")
{
    private const string Examples = "/usr/share/doc/opencv-doc/examples/data/";

    public static IReadOnlyList<OverlapScene> All { get; } =
    [
        Aloe("aloe", 1),
        Aloe("aloe, secondary close x2", 2),
        Aloe("aloe, primary close x3", -3),
        new("leuven", Examples + "leuvenA.jpg", Examples + "leuvenB.jpg", 1, "planes"),
        new("leuven, secondary close x2", Examples + "leuvenA.jpg", Examples + "leuvenB.jpg", 2, "planes"),
        new("left-right", Examples + "left.jpg", Examples + "right.jpg", 1, "planes"),
        new("graf", Examples + "graf1.png", Examples + "graf3.png", 1, "homography", Examples + "H1to3p.xml"),
        new("rubberwhale, secondary close x3", Examples + "rubberwhale1.png", Examples + "rubberwhale2.png", 3, "flow"),
        new("fence", Photo("fence-left.png"), Photo("fence-right.png"), 1, "flow"),
        new("fence, secondary close x2.5", Photo("fence-left.png"), Photo("fence-right.png"), 2.5, "flow"),
    ];

    /// <summary>Pictures of which no correction may be made.</summary>
    public static IReadOnlyList<(string Primary, string Secondary)> Unlike { get; } =
    [
        (Photo("church-day.jpg"), Photo("church-night.jpg")),
        (Examples + "aloeL.jpg", Examples + "leuvenA.jpg"),
        (Photo("fence-left.png"), Photo("church-day.jpg")),
        (Examples + "graf1.png", Examples + "home.jpg"),
    ];

    private static OverlapScene Aloe(string name, double zoom) =>
        new(name, Examples + "aloeL.jpg", Examples + "aloeR.jpg", zoom, "disparity", Examples + "aloeGT.png");

    private static string Photo(string name) =>
        Path.Combine(Environment.GetEnvironmentVariable("TONEMATCH_TESTDATA") ?? "../shared/testdata", "photos", name);
}

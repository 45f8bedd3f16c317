using System.Reflection;
using System.Text.Json;
using Microsoft.AspNetCore.Routing;
using Tonematch.Colour;
using Tonematch.Luts;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Workbench.Files;
using Tonematch.Workbench.Jobs;
using Tonematch.Workbench.Pictures;
using Tonematch.Workbench.Session;
using Tonematch.Workbench.Sound;

namespace Tonematch.Workbench.Api;

/// <summary>Every request a page can make.</summary>
internal sealed class Endpoints(
    ClipRoots roots, ClipShelf shelf, FrameDesk frames, PreviewCopies previews, WorkDesk desk, JobBoard jobs, EventHub hub, Handover handover, string outFolder, Func<string, string> plain)
{
    private const int LargestSide = 4096;

    // The report has its own styles and a script: it is shown without any right to send requests to this server.
    private const string ReportPolicy = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; sandbox allow-scripts";

    private static readonly Dictionary<string, string> s_types = new()
    {
        [".html"] = "text/html; charset=utf-8",
        [".js"] = "text/javascript; charset=utf-8",
        [".css"] = "text/css; charset=utf-8",
        [".svg"] = "image/svg+xml",
    };

    public void Map(IEndpointRouteBuilder app)
    {
        void Get(string path, Func<HttpContext, Task> endpoint) => app.MapMethods(path, ["GET", "HEAD"], Answers.Guarded(endpoint, plain));
        void Post(string path, Func<HttpContext, Task> endpoint) => app.MapPost(path, Answers.Guarded(endpoint, plain));

        Get("/", http => PageAsync(http, "index.html"));
        Get("/web/{**path}", http => PageAsync(http, http.Request.RouteValues["path"] as string ?? ""));
        Get("/api/state", StateAsync);
        Get("/api/events", EventsAsync);
        Get("/api/thumbnail", async http => await Answers.BytesAsync(http, await shelf.ThumbnailAsync(Answers.Text(http, "clip"), http.RequestAborted), "image/jpeg"));
        Get("/api/media", http => FileAsync(http, shelf.PathOf(Answers.Text(http, "clip"))));
        Get("/api/preview", async http => await FileAsync(http, previews.PathOf(await shelf.InfoAsync(Answers.Text(http, "clip"), http.RequestAborted))));
        Post("/api/preview", StartPreviewAsync);
        Get("/api/frame", FrameAsync);
        Get("/api/match", http => Answers.JsonAsync(http, Describe.Match(shelf, desk, SecondaryOf(http)), ApiJson.Default.MatchMessage));
        Get("/api/pairs", PairsAsync);
        Get("/api/lut", LutAsync);
        Get("/api/sound", SoundAsync);
        Get("/api/sound.wav", SoundFileAsync);
        Get("/api/uncovered", UncoveredAsync);
        Get("/api/difference", DifferenceAsync);
        Get("/api/point", PointAsync);
        Get("/api/still", StillAsync);
        Post("/api/session", DecideAsync);
        Post("/api/match", StartMatchAsync);
        Post("/api/dropped", DroppedAsync);
        Post("/api/handover", HandOverAsync);
        Get("/out/{**path}", OutAsync);
        app.MapDelete("/api/jobs/{id:int}", Answers.Guarded(http =>
        {
            http.Response.StatusCode = jobs.Cancel(int.Parse((string)http.Request.RouteValues["id"]!, System.Globalization.CultureInfo.InvariantCulture)) ? StatusCodes.Status204NoContent : StatusCodes.Status404NotFound;
            return Task.CompletedTask;
        }, plain));
    }

    private static async Task PageAsync(HttpContext http, string path)
    {
        // Resource names are fixed at build time: no path can lead outside them.
        using Stream? stream = Assembly.GetExecutingAssembly().GetManifestResourceStream("web/" + path);
        if (stream is null || !s_types.TryGetValue(Path.GetExtension(path), out string? type))
        {
            await Answers.SayAsync(http, StatusCodes.Status404NotFound, "There is no such page.");
            return;
        }

        http.Response.ContentType = type;
        http.Response.ContentLength = stream.Length;
        await stream.CopyToAsync(http.Response.Body, http.RequestAborted);
    }

    private async Task StateAsync(HttpContext http)
    {
        (long version, WorkbenchSession session) = desk.Now;

        // A missing clip is still shown, with a note, as long as decisions about it exist.
        IEnumerable<string> decided = session.Secondaries.Select(m => m.Clip).Append(session.Primary).OfType<string>().Select(shelf.IdOf).OfType<string>();
        ClipMessage[] clips = await Task.WhenAll(shelf.Ids.Union(decided).Select(id => Describe.ClipAsync(shelf, previews, id, http.RequestAborted)));
        await Answers.JsonAsync(http, new StateMessage(
            version, ProgramVersion.Text, [.. roots.Names], Path.GetFileName(outFolder), [.. clips], Describe.Session(session, shelf),
            [.. session.Secondaries.Select(m => Describe.Match(shelf, desk, m.Clip))],
            jobs.All, [.. handover.Files()], desk.Trouble), ApiJson.Default.StateMessage);
    }

    private async Task EventsAsync(HttpContext http)
    {
        // A page that reconnects gets the running jobs and those that ended in the meantime.
        IEnumerable<(string, string)> first = jobs.All.Select(j => ("job", JsonSerializer.Serialize(j, ApiJson.Default.JobState)))
            .Prepend(("hello", desk.Version.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        await TypedResults.ServerSentEvents(hub.ListenAsync(first, http.RequestAborted)).ExecuteAsync(http);
    }

    private static async Task FileAsync(HttpContext http, string path)
    {
        if (!File.Exists(path))
        {
            await Answers.SayAsync(http, StatusCodes.Status404NotFound, "This file is not there.");
            return;
        }

        await Results.File(path, Describe.TypeOf(path), enableRangeProcessing: true, lastModified: File.GetLastWriteTimeUtc(path)).ExecuteAsync(http);
    }

    private async Task StartPreviewAsync(HttpContext http)
    {
        string id = (await Answers.ReadAsync(http, ApiJson.Default.ClipOrder)).Clip;
        ClipInfo clip = await shelf.InfoAsync(id, http.RequestAborted);
        await Answers.JsonAsync(http, jobs.Start("preview", id, async (progress, cancel) =>
        {
            await previews.MakeAsync(clip, new Handover.Forwarded(progress, "Making a small copy for playback"), cancel);
            return "The small copy is ready to play.";
        }), ApiJson.Default.JobState);
    }

    // Camera A at its own time; camera B at camera A's time once the offset is known.
    private async Task<StoredFrame> GrabAsync(HttpContext http, string clipId, double at, int side, int step = 0, int ahead = 0)
    {
        ClipInfo clip = await shelf.InfoAsync(clipId, http.RequestAborted);
        string of = Answers.Text(http, "of");
        if (of.Length > 0 && desk.WorkOf(shelf.PathOf(of)).Clips is { Sync: not null } clips && clip.Path == clips.Secondary.Path)
        {
            at = clips.NearestFrameAt(at);
        }

        return await frames.GetAsync(clip, at, step, ahead, side, http.RequestAborted);
    }

    private async Task FrameAsync(HttpContext http)
    {
        StoredFrame frame = await GrabAsync(
            http, Answers.Text(http, "clip"), Answers.Number(http, "t", 0), Side(http, 1280), (int)Answers.Number(http, "step", 0), (int)Answers.Number(http, "ahead", 0));
        FramePlanes p = frame.ToPlanes();
        http.Response.Headers["X-Frame"] = JsonSerializer.Serialize(new FrameHeader(
            p.Width, p.Height, (int)p.Orientation, p.Seconds, p.IsYcbcr, p.IsWide, p.ChromaWidth, p.ChromaHeight, p.ChromaShiftX, p.ChromaShiftY,
            p.ChromaX, p.ChromaY, p.Scale, p.Offset, p.ChromaScale, p.ChromaOffset, p.Kr, p.Kb), ApiJson.Default.FrameHeader);
        await Answers.BytesAsync(http, p.Data, "application/octet-stream");
    }

    private async Task PairsAsync(HttpContext http)
    {
        MatchWork work = desk.WorkOf(SecondaryOf(http));
        await Answers.JsonAsync(http, work.Latest is { } fit ? Describe.Pairs(fit) : [], ApiJson.Default.PairMessageArray);
    }

    private async Task LutAsync(HttpContext http)
    {
        if (desk.WorkOf(SecondaryOf(http)).Latest is not { } fit)
        {
            await Answers.SayAsync(http, StatusCodes.Status404NotFound, "There is no match yet.");
            return;
        }

        Lut3D lut = fit.Lut;
        byte[] bytes = new byte[lut.Nodes.Length * sizeof(float)];
        System.Runtime.InteropServices.MemoryMarshal.AsBytes(lut.Nodes).CopyTo(bytes);
        http.Response.Headers["X-Size"] = lut.Size.ToString(System.Globalization.CultureInfo.InvariantCulture);
        await Answers.BytesAsync(http, bytes, "application/octet-stream");
    }

    private async Task<(ClipInfo A, ClipInfo B, double At, double Span, double Other)> StretchAsync(HttpContext http)
    {
        string path = SecondaryOf(http);
        ClipInfo a = await shelf.InfoAsync(shelf.IdOf(desk.Session.Primary ?? throw new UnusableInputException("Choose camera A first.")) ?? "", http.RequestAborted);
        ClipInfo b = await shelf.InfoAsync(Answers.Text(http, "clip"), http.RequestAborted);
        double at = Answers.Number(http, "t", 0), span = Math.Clamp(Answers.Number(http, "span", 2), 0.05, 60);
        SyncFound? sync = desk.WorkOf(path).Clips?.Sync;
        double offset = Answers.Number(http, "offset", sync?.OffsetSeconds ?? 0), drift = sync?.DriftPpm ?? 0;
        return (a, b, at, span, SyncFound.Given(offset, drift).SecondaryTime(at));
    }

    private async Task SoundAsync(HttpContext http)
    {
        (ClipInfo a, ClipInfo b, double at, double span, double other) = await StretchAsync(http);
        await Answers.JsonAsync(http, await SoundDesk.SeenAsync(a, b, at, span, other, http.RequestAborted), ApiJson.Default.SoundMessage);
    }

    private async Task SoundFileAsync(HttpContext http)
    {
        (ClipInfo a, ClipInfo b, double at, double span, double other) = await StretchAsync(http);
        await Answers.BytesAsync(http, await SoundDesk.HeardAsync(a, b, at, span, other, http.RequestAborted), "audio/wav");
    }

    private async Task<(StoredFrame Frame, MatchWork.Fitted Fit)> FittedFrameAsync(HttpContext http, int side)
    {
        MatchWork.Fitted fit = desk.WorkOf(SecondaryOf(http)).Latest ?? throw new UnusableInputException("There is no match yet.");
        return (await GrabAsync(http, Answers.Text(http, "clip"), Answers.Number(http, "t", 0), side), fit);
    }

    private async Task UncoveredAsync(HttpContext http)
    {
        (StoredFrame frame, MatchWork.Fitted fit) = await FittedFrameAsync(http, 640);
        UncoveredMessage message = fit.Used.Method == SamplingMethod.Overall ? new UncoveredMessage([], 0) : UncoveredParts.Of(frame.ToPicture(640).WithEncoding(fit.Used.SecondaryEncoding), fit.Used);
        await Answers.JsonAsync(http, message, ApiJson.Default.UncoveredMessage);
    }

    private async Task DifferenceAsync(HttpContext http)
    {
        int side = Side(http, 960);
        (StoredFrame frame, MatchWork.Fitted fit) = await FittedFrameAsync(http, side);
        Picture recorded = frame.ToPicture(side).WithEncoding(fit.Used.SecondaryEncoding), matched = Corrected(recorded, fit);
        (Picture map, double top, double mean) = MatchWork.DifferenceMap(recorded, matched, side);
        http.Response.Headers["X-Top"] = top.ToString(System.Globalization.CultureInfo.InvariantCulture);
        http.Response.Headers["X-Mean"] = mean.ToString("0.##", System.Globalization.CultureInfo.InvariantCulture);
        await Answers.BytesAsync(http, PngFile.ToBytes(map), "image/png");
    }

    // For browsers without WebGL2: a picture from the server, corrected or as recorded.
    private async Task StillAsync(HttpContext http)
    {
        int side = Side(http, 960);
        Picture picture = (await GrabAsync(http, Answers.Text(http, "clip"), Answers.Number(http, "t", 0), side)).ToPicture(side);
        if (Answers.Text(http, "corrected") == "1" && desk.WorkOf(SecondaryOf(http)).Latest is { } fit)
        {
            picture = Corrected(picture.WithEncoding(fit.Used.SecondaryEncoding), fit);
        }

        await Answers.BytesAsync(http, PngFile.ToBytes(picture), "image/png");
    }

    private async Task PointAsync(HttpContext http)
    {
        (StoredFrame frame, MatchWork.Fitted fit) = await FittedFrameAsync(http, 1280);
        Picture picture = frame.ToPicture(1280);
        int x = Pixel(Answers.Number(http, "x", 0), picture.Width), y = Pixel(Answers.Number(http, "y", 0), picture.Height);
        CodeRgb recorded = MeanAround(picture, x, y), matched = fit.Corrected(recorded);
        Lab before = fit.Used.SecondaryEncoding.ToLab(recorded), after = fit.Used.PrimaryEncoding.ToLab(matched);

        // The same place in camera A is known only inside a pair; elsewhere the most similar sample shows the remaining
        // difference.
        PointInA? inA = null;
        if (PlaceInA(fit, Answers.Number(http, "t", 0), Answers.Number(http, "x", 0), Answers.Number(http, "y", 0)) is var (ax, ay)
            && desk.Session.Primary is { } primary && shelf.IdOf(primary) is { } id)
        {
            Picture other = (await frames.GetAsync(await shelf.InfoAsync(id, http.RequestAborted), Answers.Number(http, "t", 0), step: 0, ahead: 0, side: 1280, http.RequestAborted)).ToPicture(1280);
            CodeRgb seen = MeanAround(other, Pixel(ax, other.Width), Pixel(ay, other.Height));
            Lab there = fit.Used.PrimaryEncoding.ToLab(seen);
            inA = new PointInA([seen.R, seen.G, seen.B], [ax, ay], Colour.DeltaE.DeltaE2000.Between(there, before), Colour.DeltaE.DeltaE2000.Between(there, after));
        }

        SamplePair? near = fit.Used.Pairs.MinBy(p => Colour.DeltaE.DeltaE2000.Between(fit.Used.SecondaryEncoding.ToLab(p.Secondary), before));
        bool isNear = near is not null && ColourCoverage.IsNear(fit.Used.SecondaryEncoding.ToLab(near.Secondary), before);
        await Answers.JsonAsync(http, new PointMessage(
            [recorded.R, recorded.G, recorded.B], [matched.R, matched.G, matched.B], Colour.DeltaE.DeltaE2000.Between(before, after))
        {
            Near = isNear ? (near!.Label.Length > 0 ? near.Label : PlainColourNames.Of(fit.Used.PrimaryEncoding.ToLab(near.Primary))) : "",
            NearAfter = isNear ? fit.After(near!) : null,
            A = inA,
        }, ApiJson.Default.PointMessage);

        static int Pixel(double share, int size) => Math.Clamp((int)(share * size), 0, size - 1);
    }

    // Inside the smallest pair of this instant that contains the place, at the same distance from its middle in A as in
    // B.
    private static (double X, double Y)? PlaceInA(MatchWork.Fitted fit, double seconds, double x, double y)
    {
        SampleOrigin? origin = fit.Used.Pairs.Select(p => p.Origin).OfType<SampleOrigin>()
            .Where(o => Math.Abs(o.PrimarySeconds - seconds) < 0.02 && Math.Abs(x - o.Secondary.X) <= o.Secondary.Width / 2 && Math.Abs(y - o.Secondary.Y) <= o.Secondary.Height / 2)
            .MinBy(o => o.Secondary.Width * o.Secondary.Height);
        return origin is not { Secondary: { Width: > 0, Height: > 0 } b, Primary: var a } ? null
            : (Math.Clamp(a.X + ((x - b.X) / b.Width * a.Width), 0, 1), Math.Clamp(a.Y + ((y - b.Y) / b.Height * a.Height), 0, 1));
    }

    private async Task DecideAsync(HttpContext http)
    {
        SessionUpdate update = await Answers.ReadAsync(http, ApiJson.Default.SessionUpdate);
        if (!desk.Decide(update.Version, Describe.Session(update.Session, shelf), update.Draft))
        {
            await Answers.SayAsync(http, StatusCodes.Status409Conflict, "Another window changed something in the meantime. This one now shows the change.");
            return;
        }

        await Answers.SayAsync(http, StatusCodes.Status200OK, desk.Version.ToString(System.Globalization.CultureInfo.InvariantCulture));
    }

    private async Task StartMatchAsync(HttpContext http)
    {
        string clip = (await Answers.ReadAsync(http, ApiJson.Default.ClipOrder)).Clip;
        if (desk.Session.Primary is null || desk.Session.Secondaries.IsEmpty)
        {
            throw new UnusableInputException("Choose a clip of camera A and one of camera B first.");
        }

        if (clip.Length == 0)
        {
            desk.StartMatches();
        }
        else
        {
            desk.StartMatch(shelf.PathOf(clip));
        }

        await Answers.SayAsync(http, StatusCodes.Status202Accepted, "");
    }

    private async Task DroppedAsync(HttpContext http)
    {
        DroppedFile dropped = await Answers.ReadAsync(http, ApiJson.Default.DroppedFile);
        string? found = shelf.Ids.FirstOrDefault(id => ClipShelf.NameOf(id) == dropped.Name && roots.PathOf(id) is { } path && new FileInfo(path).Length == dropped.Size);
        await Answers.JsonAsync(http, new FoundFile(found, found is null
            ? $"{dropped.Name} is not in the folders that were opened. Start again with its folder: tonematch workbench FOLDER"
            : ""), ApiJson.Default.FoundFile);
    }

    private async Task HandOverAsync(HttpContext http)
    {
        HandoverOrder order = await Answers.ReadAsync(http, ApiJson.Default.HandoverOrder);
        await Answers.JsonAsync(http, jobs.Start("hand-over", "", (progress, cancel) => handover.RunAsync(order, progress, cancel)), ApiJson.Default.JobState);
    }

    private async Task OutAsync(HttpContext http)
    {
        string path = http.Request.RouteValues["path"] as string ?? "";
        if (!handover.Files().Contains(path))
        {
            await Answers.SayAsync(http, StatusCodes.Status404NotFound, "There is no such result.");
            return;
        }

        string full = Path.Combine(outFolder, path.Replace('/', Path.DirectorySeparatorChar));
        bool isReport = path.EndsWith(".html", StringComparison.Ordinal);
        if (isReport)
        {
            http.Response.Headers.ContentSecurityPolicy = ReportPolicy;
        }

        string type = isReport ? "text/html; charset=utf-8" : path.EndsWith(".mp4", StringComparison.Ordinal) ? "video/mp4" : "application/octet-stream";
        await Results.File(full, type, fileDownloadName: isReport || type == "video/mp4" ? null : Path.GetFileName(path), enableRangeProcessing: true).ExecuteAsync(http);
    }

    // The clip of camera B that is meant: 'of', or 'clip' if there is only one.
    private string SecondaryOf(HttpContext http) => shelf.PathOf(Answers.Text(http, "of") is { Length: > 0 } of ? of : Answers.Text(http, "clip"));

    private static int Side(HttpContext http, int usual) => (int)Math.Clamp(Answers.Number(http, "side", usual), 16, LargestSide);

    private static Picture Corrected(Picture picture, MatchWork.Fitted fit) => new LutEngine(fit.Lut).Apply(picture, fit.Used.PrimaryEncoding);

    private static CodeRgb MeanAround(Picture picture, int x, int y)
    {
        (double r, double g, double b, int n) = (0, 0, 0, 0);
        for (int j = Math.Max(0, y - 1); j <= Math.Min(picture.Height - 1, y + 1); j++)
        {
            for (int i = Math.Max(0, x - 1); i <= Math.Min(picture.Width - 1, x + 1); i++)
            {
                CodeRgb c = picture[i, j];
                (r, g, b, n) = (r + c.R, g + c.G, b + c.B, n + 1);
            }
        }

        return new CodeRgb(r / n, g / n, b / n);
    }
}

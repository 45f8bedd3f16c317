using System.Globalization;
using Tonematch.Pictures;
using Tonematch.Reporting.Plots;

namespace Tonematch.Reporting;

/// <summary>The pictures before and after, what was changed, where colours were measured, and their signals.</summary>
internal static class PictureSection
{
    private const int LargeSide = 960, SmallSide = 560, SignalSide = 480, MostMarks = 150;

    public static Html Render(ReportModel model)
    {
        if (model.Frames.IsEmpty)
        {
            return Html.None;
        }

        ReportFrame first = model.Frames[0];
        return Html.Of($"""
            <section aria-labelledby="pictures"><h2 id="pictures">Pictures</h2>
            <p>The same instant in both cameras: {Times(first)}{Html.When(first.Why.Length > 0, () => Html.Of($" ({first.Why})"))}. Corrected, camera B should have camera A's colours; it keeps its own view.</p>
            {Large(model, first)}
            {Split()}
            {Others(model)}
            {Signals(first)}
            </section>
            """);
    }

    /// <summary>Both frames of one moment at small size, as evidence of the sync.</summary>
    public static Html Evidence(ReportFrame frame) => Html.Of($"""
        <div class="pair surround">
        {Shot(frame.Primary, SmallSide, "", "Camera A", Time(frame.PrimarySeconds), "Camera A at this moment")}
        {Shot(frame.Secondary, SmallSide, "", "Camera B", Time(frame.SecondarySeconds), "Camera B at this moment")}
        </div>
        """);

    private static Html Large(ReportModel model, ReportFrame frame)
    {
        (Picture map, double top, double mean) = frame.SameView
            ? DifferenceMap.Of(frame.Primary, frame.Corrected, LargeSide)
            : DifferenceMap.Of(frame.Secondary, frame.Corrected, LargeSide);
        string mapTitle = frame.SameView ? "What is left" : "What the correction changes";
        string mapSays = frame.SameView
            ? FormattableString.Invariant($"Delta E between camera A and the corrected camera B, pixel by pixel; mean {mean:F1}. Light places still differ.")
            : FormattableString.Invariant($"Delta E between camera B as recorded and corrected, pixel by pixel; mean {mean:F1}. Light places were changed most. The two views differ, so the remaining difference is measured on the colours below.");
        Html primaryMarks = Marks(model, frame, primary: true), secondaryMarks = Marks(model, frame, primary: false);
        bool marks = primaryMarks.Markup.Length > 0;
        return Html.Of($"""
            {Html.When(marks, () => new("<input type=\"checkbox\" id=\"show-marks\" class=\"toggle\"><label for=\"show-marks\">Show where colours were measured</label>"))}
            <div class="four surround">
            {Shot(frame.Primary, LargeSide, "shot-primary", "Camera A", "the target", "Camera A's picture", primaryMarks)}
            {Shot(frame.Corrected, LargeSide, "shot-corrected", "Camera B, corrected", model.Kind, "Camera B's picture after the correction")}
            {Shot(frame.Secondary, LargeSide, "shot-secondary", "Camera B, as recorded", "", "Camera B's picture as it was recorded", secondaryMarks)}
            <figure class="shot"><div><img alt="{mapSays}" width="{map.Width}" height="{map.Height}" src="{Uri(map, LargeSide)}"></div>
            <figcaption><strong>{mapTitle}</strong> <span>{mapSays}</span>{DifferenceMap.Scale(top)}</figcaption></figure>
            </div>
            {Html.When(marks, () => new("<p class=\"note\">Rings mark where colours were measured; the lighter a ring, the larger the remaining difference.</p>"))}
            """);
    }

    // Uses the pictures already in the page, so that nothing is stored twice. Only shown when the script runs.
    private static Html Split() => new("""
        <figure class="split" id="split" hidden>
        <figcaption><strong>One over the other</strong> <span>Drag the line, or use the arrow keys. Left of it:</span>
        <label><input type="radio" name="left" value="shot-secondary" checked> camera B as recorded</label>
        <label><input type="radio" name="left" value="shot-primary"> camera A</label><span>Right of it: camera B corrected.</span></figcaption>
        <div class="surround"><div class="stack"><img class="under" src="data:," alt="Camera B corrected"><img class="over" src="data:," alt="The picture left of the line"><span class="edge"></span></div>
        <input type="range" min="0" max="100" value="50" step="1" aria-label="Position of the line, per cent from the left"></div>
        </figure>
        """);

    private static Html Others(ReportModel model) => model.Frames.Length < 2 ? Html.None : Html.Of($"""
        <details open><summary>Other instants ({model.Frames.Length - 1})</summary>
        {Html.Each(model.Frames.Skip(1), f => Html.Of($"""
            <h3>{Times(f)}{Html.When(f.Why.Length > 0, () => Html.Of($" <small>{f.Why}</small>"))}</h3>
            <div class="three surround">
            {Shot(f.Primary, SmallSide, "", "Camera A", "", $"Camera A at {Time(f.PrimarySeconds)}")}
            {Shot(f.Secondary, SmallSide, "", "As recorded", "", $"Camera B at {Time(f.SecondarySeconds)} as recorded")}
            {Shot(f.Corrected, SmallSide, "", "Corrected", "", $"Camera B at {Time(f.SecondarySeconds)} corrected")}
            </div>
            """))}
        </details>
        """);

    private static Html Signals(ReportFrame frame)
    {
        (string Name, string Id, Picture Picture)[] three =
        [
            ("camera A", "p", PictureScale.ToSmall(frame.Primary, SignalSide)),
            ("camera B as recorded", "s", PictureScale.ToSmall(frame.Secondary, SignalSide)),
            ("camera B corrected", "c", PictureScale.ToSmall(frame.Corrected, SignalSide)),
        ];
        double[] medians = [.. three.Select(t => 100 * SignalPlots.Median(t.Picture))];
        Html Row(string title, string reading, Func<Picture, string, string, Html> draw) => Html.Of($"""
            <figure class="signals"><figcaption><strong>{title}</strong> <span>{reading}</span></figcaption>
            <div>{Html.Each(three, t => Html.Of($"<div><p>{t.Name}</p>{draw(t.Picture, $"{title.Split(' ')[0].ToLowerInvariant()}-{t.Id}", t.Name)}</div>"))}</div></figure>
            """);
        return Html.Of($"""
            <h3>Signals of the first instant</h3>
            <p>The two cameras see different things, so these need not become equal. Look at where blacks and whites lie and whether greys lean to a colour.</p>
            {Row("Waveform", FormattableString.Invariant($"Luma from left to right; dense where there are many pixels. Half of the picture is below {medians[0]:F0} % in camera A, {medians[1]:F0} % as recorded, {medians[2]:F0} % corrected."), SignalPlots.Waveform)}
            {Row("Parade", "Red, green and blue side by side. In a neutral picture the three are equally high.", SignalPlots.Parade)}
            {Row("Vectorscope", "Colour differences: the centre is grey, further out is more saturated. A cloud beside the centre is a colour cast.", SignalPlots.Vectorscope)}
            {Row("Histogram", "How much of the picture has each brightness; one line each for red, green and blue.", SignalPlots.Histogram)}
            """);
    }

    /// <summary>A picture with its name, for the top of the page.</summary>
    public static Html Plain(Picture picture, string title, string alternative) => Shot(picture, SmallSide, "", title, "", alternative);

    private static Html Shot(Picture picture, int side, string id, string title, string note, string alternative, Html marks = default) => Html.Of($"""
        <figure class="shot"><div><img{Html.When(id.Length > 0, () => Html.Of($" id=\"{id}\""))} alt="{alternative}" width="{picture.Width}" height="{picture.Height}" src="{Uri(picture, side)}">{marks}</div>
        <figcaption><strong>{title}</strong> <span>{note}</span></figcaption></figure>
        """);

    // Data URIs hold only base64 characters and the fixed prefix: safe without encoding.
    private static Html Uri(Picture picture, int side) => new(PageColour.Jpeg(picture, side));

    private static Html Marks(ReportModel model, ReportFrame frame, bool primary)
    {
        ReportPair[] here = [.. model.Pairs.Where(p => p.Origin is { } o
            && Math.Abs(o.PrimarySeconds - frame.PrimarySeconds) < 0.02 && Math.Abs(o.SecondarySeconds - frame.SecondarySeconds) < 0.02)];
        if (here.Length == 0)
        {
            return Html.None;
        }

        Picture picture = primary ? frame.Primary : frame.Secondary;
        double top = Math.Max(2, here.Max(p => p.DeltaEAfter)), least = picture.Width / 110.0;
        int step = Math.Max(1, (int)Math.Ceiling(here.Length / (double)MostMarks));
        return Html.Of($"""
            <svg class="marks" viewBox="0 0 {picture.Width} {picture.Height}" aria-hidden="true">{Html.Each(here.Where((_, i) => i % step == 0), p =>
            {
                PictureBox at = (primary ? p.Origin!.Primary : p.Origin!.Secondary).In(picture);
                double r = Math.Max(least, Math.Min(at.Width, at.Height) / 2);
                return Html.Of($"<circle class=\"halo\" cx=\"{at.X:0.#}\" cy=\"{at.Y:0.#}\" r=\"{r:0.#}\"/><circle stroke=\"{PageColour.Hex(DifferenceMap.Colour(0.3 + (0.7 * p.DeltaEAfter / top)), Colour.SignalEncoding.Srgb)}\" cx=\"{at.X:0.#}\" cy=\"{at.Y:0.#}\" r=\"{r:0.#}\"/>");
            })}</svg>
            """);
    }

    private static Html Times(ReportFrame f) => Html.Of($"{Time(f.PrimarySeconds)} in camera A, {Time(f.SecondarySeconds)} in camera B");

    private static string Time(double seconds) => string.Create(CultureInfo.InvariantCulture, $"{seconds:F2} s");
}

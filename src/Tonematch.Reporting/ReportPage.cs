using System.Security.Cryptography;
using System.Text;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;
using Tonematch.Reporting.Plots;

namespace Tonematch.Reporting;

/// <summary>
/// The report: one self-contained HTML page that opens without a network, prints on A4 and can be read on a phone.
/// </summary>
public static class ReportPage
{
    /// <summary>The page as text. Pure: the same model gives the same page.</summary>
    /// <exception cref="ArgumentException">The model has no pairs.</exception>
    public static string Render(ReportModel model)
    {
        ArgumentNullException.ThrowIfNull(model);
        if (model.Pairs.IsDefaultOrEmpty)
        {
            throw new ArgumentException("A report needs at least one pair of colours.", nameof(model));
        }

        string title = model is { Primary: { } p, Secondary: { } s } ? $"{s.Name} matched to {p.Name}" : "Colours matched";
        (string Id, string Name, Html Content)[] sections =
        [
            ("pictures", "Pictures", PictureSection.Render(model)),
            ("colours", "Colours", SampleSection.Render(model)),
            ("kinds", "Kinds of correction", Folded(Kinds(model), "kinds", "Kinds of correction")),
            ("safety", "Safety of the LUT", Folded(Safety(model), "safety", "Safety of the LUT")),
            ("time", "Over the recording", OverTime(model)),
            ("sync", "In time", Sync(model)),
            ("clips", "Clips", Folded(Clips(model), "clips", "Clips")),
            ("how", "How it was computed", Folded(How(model), "how", "How it was computed")),
        ];
        sections = [.. sections.Where(x => x.Content.Markup.Length > 0)];
        return Html.Of($"""
            <!DOCTYPE html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <meta name="color-scheme" content="light dark">
            <meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; media-src data:; style-src 'sha256-{Hash(ReportAssets.Style)}'; script-src 'sha256-{Hash(ReportAssets.Script)}'; base-uri 'none'; form-action 'none'">
            <meta name="referrer" content="no-referrer">
            <title>{title}</title>
            <style>{new Html(ReportAssets.Style)}</style>
            </head>
            <body>
            <a class="skip" href="#main">To the report</a>
            <header>
            {Top(model, title)}
            <nav aria-label="Sections"><ul>{Html.Each(sections, x => Html.Of($"<li><a href=\"#{x.Id}\">{x.Name}</a></li>"))}</ul></nav>
            </header>
            <main id="main">
            {Html.Join(sections.Select(x => x.Content))}
            </main>
            <footer><p>Delta E is CIEDE2000: about 1 is the smallest difference seen side by side; up to 2 on average cuts well (common practice). Cameras see some pairs of colours differently whatever is done to the signal, most of all under narrow-band LED light, and a clipped highlight cannot be brought back.</p></footer>
            <script>{new Html(ReportAssets.Script)}</script>
            </body>
            </html>

            """).Markup.Replace("Delta E", "Delta\u00a0E", StringComparison.Ordinal).Replace(" %", "\u00a0%", StringComparison.Ordinal);
    }

    private static string Hash(string text) => Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(text)));

    private static Html Top(ReportModel model, string title)
    {
        (Verdict verdict, DeltaEStatistics after) = (model.Verdict, model.After);
        Html Strong(VerdictFigure of) => Html.When(verdict.FigureOf == of, () => new(" class=\"strong\""));
        return Html.Of($"""
            <p class="byline"><span class="mark"><svg viewBox="0 0 12 12" aria-hidden="true">{new Html(verdict.Kind switch { VerdictKind.Use => "<path d=\"M2 6.5L5 9.5L10.5 2.5\"/>", VerdictKind.LookFirst => "<path d=\"M6 2V7M6 9.6V10.4\"/>", _ => "<path d=\"M2.5 2.5L9.5 9.5M9.5 2.5L2.5 9.5\"/>" })}</svg>{VerdictWords.Mark(verdict.Kind)}</span> <bdi>{title}</bdi></p>
            <h1>{VerdictWords.Headline(verdict)}</h1>
            {Html.When(!verdict.Reasons.IsEmpty, () => Html.Of($"<ul class=\"reasons\">{Html.Each(VerdictWords.Reasons(verdict), r => Html.Of($"<li>{r}</li>"))}</ul>"))}
            {First(model)}
            {Html.When(model.Sync is not null, () => Html.Of($"<p class=\"begins\">{model.Sync!.Sentence}</p>"))}
            {Html.When(!model.Next.IsEmpty, () => Html.Of($"<p class=\"load\"><strong>{model.Next[0]}</strong></p>"))}
            {Cuts(model)}
            {Html.When(!model.Lead.IsEmpty, () => Html.Of($"<div class=\"lead\">{Html.Each(model.Lead, l => Html.Of($"<p>{l}</p>"))}</div>"))}
            <div class="first">
            {Html.When(!model.Warnings.IsEmpty, () => Html.Of($"<section class=\"warnings\" aria-labelledby=\"warnings\"><h2 id=\"warnings\">What to know before you use it</h2><ul>{Html.Each(model.Warnings, w => Html.Of($"<li>{w}</li>"))}</ul></section>"))}
            {Html.When(!model.Next.IsEmpty, () => Html.Of($"<section class=\"next\" aria-labelledby=\"next\"><h2 id=\"next\">What to do next</h2><ol>{Html.Each(model.Next, n => Html.Of($"<li>{n}</li>"))}</ol>{Html.When(!model.NextTime.IsEmpty, () => Html.Of($"<h3>At the next shoot</h3><ul>{Html.Each(model.NextTime, n => Html.Of($"<li>{n}</li>"))}</ul>"))}</section>"))}
            </div>
            <dl class="figures">
            <div><dt>as recorded</dt><dd>{model.Before.Mean:0.0}</dd></div>
            <div{Strong(VerdictFigure.FittedColours)}><dt>corrected</dt><dd>{after.Mean:0.0}</dd></div>
            {Html.When(model.CrossValidated is not null, () => Html.Of($"<div{Strong(VerdictFigure.UnseenColours)}><dt>corrected, on colours it was not fitted to</dt><dd>{model.CrossValidated!.Mean:0.0}</dd></div>"))}
            {Html.When(verdict.FigureOf == VerdictFigure.UnseenPlaces, () => Html.Of($"<div class=\"strong\"><dt>corrected, on places it was not fitted to</dt><dd>{verdict.Figure.Mean:0.0}</dd></div>"))}
            {Html.When(model.OverTime is not null, () => Html.Of($"<div><dt>corrected, over the recording</dt><dd>{model.OverTime!.All.Mean:0.0}</dd></div>"))}
            <div><dt>95 % of colours are below</dt><dd>{after.Percentile95:0.0}</dd></div>
            <div><dt>worst colour</dt><dd>{after.Max:0.0}</dd></div>
            </dl>
            <p class="unit">Delta E (CIEDE2000) between camera A and camera B{Html.When(model.Tolerance is not null, () => Html.Of($"; asked for: {model.Tolerance!.Value:0.0} or less on average"))}.</p>
            """);
    }

    // Pictures before numbers: A beside the corrected B, and one detail of both close up.
    private static Html First(ReportModel model) => model.FirstLook is not { } look ? Html.None : Html.Of($"""
        <div class="look surround">
        <div class="two">
        {PictureSection.Plain(look.Primary, "Camera A", "Camera A while nothing hides what is filmed")}
        {PictureSection.Plain(look.Corrected, "Camera B, corrected", "Camera B at the same moment, corrected")}
        </div>
        <div class="details">
        {PictureSection.Plain(look.Details[0], "A", "A part of camera A's picture, close up")}
        {PictureSection.Plain(look.Details[1], "B as recorded", "The same part of camera B's picture as recorded")}
        {PictureSection.Plain(look.Details[2], "B corrected", "The same part of camera B's picture, corrected")}
        </div>
        </div>
        """);

    private static Html Cuts(ReportModel model) => model.CutTest.IsEmpty ? Html.None : Html.Of($"""
        <figure class="cuts"><figcaption><strong>Cuts</strong> <span>From A to the corrected B and back every two seconds. If your eye does not jump at the cut, the match holds.</span></figcaption>
        <video controls loop muted playsinline preload="metadata" src="data:video/mp4;base64,{new Html(Convert.ToBase64String(model.CutTest.Span))}"></video></figure>
        """);

    // For readers who want to know how: folded, and unfolded by a link to it, by a search, and for print.
    private static Html Folded(Html section, string id, string name) => new(section.Markup
        .Replace($"<h2 id=\"{id}\">{name}</h2>", $"<details class=\"fold\"><summary><h2 id=\"{id}\">{name}</h2></summary>", StringComparison.Ordinal)
        .Replace("</section>", "</details></section>", StringComparison.Ordinal));

    private static Html Kinds(ReportModel model)
    {
        if (model.Kinds.IsEmpty)
        {
            return Html.None;
        }

        double top = Math.Max(model.Before.Mean, model.Kinds.Max(k => k.HeldOutOrFitted.Mean));
        Html Bar(double value) => Html.Of($"<svg class=\"meter\" viewBox=\"0 0 100 8\" preserveAspectRatio=\"none\" aria-hidden=\"true\"><path class=\"bar\" d=\"M0 0h{100 * value / top:0.#}v8h-{100 * value / top:0.#}z\"/></svg>");
        Html Figures(DeltaEStatistics? s) => s is null
            ? new("<td class=\"n\">n/a</td><td class=\"n\">n/a</td>")
            : Html.Of($"<td class=\"n\">{s.Mean:0.00}</td><td class=\"n\">{s.Percentile95:0.00}</td>");
        bool places = model.Kinds.Any(k => k.UnseenPlaces is not null);
        Html Place(DeltaEStatistics? s) => Html.When(places, () => s is null ? new("<td class=\"n\">n/a</td>") : Html.Of($"<td class=\"n\">{s.Mean:0.00}</td>"));
        string caption = $"Delta E of every kind, from simple to rich. 'Other colours'{(places ? " and 'other places'" : "")} were kept back for testing: trust {(places ? "those figures" : "that figure")}. Advised is the simplest kind that does as well as the best one, within the uncertainty (±).";
        return Html.Of($"""
            <section aria-labelledby="kinds"><h2 id="kinds">Kinds of correction</h2>
            <p>A more flexible kind always does better on the colours it was worked out from. Whether it also helps on other colours is what the right-hand figures say; a kind that is good on the left and bad on the right has learned its colours by heart.</p>
            <div class="scroll" role="region" aria-label="Table of the kinds of correction" tabindex="0"><table><caption><span>{caption}</span></caption>
            <thead><tr><th scope="col">Kind</th><th scope="col" class="n">Numbers in it</th><th scope="col" class="n">Its own colours: mean</th><th scope="col" class="n">95 %</th><th scope="col" class="n">Other colours: mean</th><th scope="col" class="n">95 %</th><th scope="col" class="n">Chance</th>{Html.When(places, () => new("<th scope=\"col\" class=\"n\">Other places: mean</th>"))}<th scope="col">Mean</th></tr></thead>
            <tbody><tr><th scope="row">nothing done</th><td class="n">0</td>{Figures(model.Before)}{Figures(model.Before)}<td></td>{Place(null)}<td>{Bar(model.Before.Mean)}</td></tr>
            {Html.Each(model.Kinds, k => Html.Of($"""
                <tr{Html.When(k.Chosen, () => new(" class=\"chosen\""))}><th scope="row">{k.Name}{Html.When(k.Chosen, () => new(" <em>handed over</em>"))}{Html.When(k.Advised && !k.Chosen, () => new(" <em>advised by the figures</em>"))}</th><td class="n">{k.Numbers}</td>{Figures(k.Train)}{Figures(k.CrossValidated)}<td class="n">{Html.When(k.StandardError is not null, () => Html.Of($"± {k.StandardError!.Value:0.00}"))}</td>{Place(k.UnseenPlaces)}<td>{Bar(k.HeldOutOrFitted.Mean)}</td></tr>
                """))}</tbody></table></div>
            {Html.When(!model.Curves.IsDefaultOrEmpty, () => CurvePlot.Of(model.Curves))}
            {Html.When(!model.NotFitted.IsEmpty, () => Html.Of($"<p>Not possible with these colours:</p><ul>{Html.Each(model.NotFitted, n => Html.Of($"<li>{n.Kind}: {n.Why}</li>"))}</ul>"))}
            </section>
            """);
    }

    private static Html Safety(ReportModel model)
    {
        if (model.Safety is not { } safety)
        {
            return Html.None;
        }

        int beyond = safety.Findings.Count(f => !f.IsWithin);
        return Html.Of($"""
            <section aria-labelledby="safety"><h2 id="safety">Safety of the LUT</h2>
            <p>{(beyond == 0 ? "The LUT shows no edges, swaps no colours and does not amplify noise: every figure is within its limit." : beyond == 1 ? "One figure is beyond its limit." : FormattableString.Invariant($"{beyond} figures are beyond their limits."))}{Html.When(model.LutNodes is not null, () => Html.Of($" It has {model.LutNodes!.Value} steps per side."))} The limits are common practice, not a standard.</p>
            <div class="scroll safety" role="region" aria-label="Table of the LUT's safety figures" tabindex="0"><table><caption><span>Properties of the LUT</span></caption><thead><tr><th scope="col">Property</th><th scope="col" class="n">Figure</th><th scope="col" class="n">Limit</th><th scope="col">Within</th><th scope="col">Meaning</th></tr></thead>
            <tbody>{Html.Each(safety.Findings, f => Html.Of($"<tr><th scope=\"row\">{f.Name}</th><td class=\"n\">{f.Value:0.####}</td><td class=\"n\">{f.Limit:0.####}</td><td>{(f.IsWithin ? "yes" : "no: beyond")}</td><td class=\"words\">{f.Sentence}</td></tr>"))}</tbody></table></div>
            </section>
            """);
    }

    private static Html OverTime(ReportModel model)
    {
        if (model.OverTime is not { OverTime.IsEmpty: false } check)
        {
            return Html.None;
        }

        return Html.Of($"""
            <section aria-labelledby="time"><h2 id="time">Over the recording</h2>
            {Html.When(model.Drift is not null, () => Wanders(model.Drift!))}
            <p>{(check.Passes ? "The match holds" : "The match does not hold")} over all that both cameras recorded (asked for: {check.Tolerance:0.0} or less){Html.When(model.Drift is not null, () => new(", with the changes followed"))}. One correction for all leaves {check.OneForAllMean:0.00} on average; setting exposure and white balance anew after every step would leave {check.OnePerStateMean:0.00}.</p>
            <div class="plots">
            {Html.When(model.Drift is not null, () => DifferencePlots.Drift(model.Drift!))}
            {DifferencePlots.OverTime(check)}
            {DifferencePlots.Light(check)}
            </div>
            {Html.When(!check.Steps.IsEmpty, () => Html.Of($"<ol class=\"steps\">{Html.Each(check.Steps, Step)}</ol>"))}
            <div class="scroll" role="region" aria-label="Delta E by zone" tabindex="0"><table><caption><span>By zone of camera A's colour</span></caption><thead><tr><th scope="col">Zone</th><th scope="col" class="n">Colours</th><th scope="col" class="n">Mean</th><th scope="col" class="n">95 %</th><th scope="col" class="n">Largest</th></tr></thead>
            <tbody>{Html.Each(CheckWords.Zones(check), z => Html.Of($"<tr><th scope=\"row\">{z.Name}</th><td class=\"n\">{z.Of.Count}</td><td class=\"n\">{z.Of.Mean:0.00}</td><td class=\"n\">{z.Of.Percentile95:0.00}</td><td class=\"n\">{z.Of.Max:0.00}</td></tr>"))}</tbody></table></div>
            </section>
            """);
    }

    private static Html Wanders(DriftOutcome drift) => Html.Of($"<p>{DriftWords.Leaves(drift)} The changes are recorded in drift.csv. They are removed from the pictures, cuts and figures on this page, but not from what an editor shows with correction.cube alone.</p>");

    private static Html Step(MatchStep step)
    {
        List<string> what = [];
        if (step.IsExposure)
        {
            what.Add(FormattableString.Invariant($"camera B becomes {Math.Abs(step.ExposureStops):F2} stop {(step.ExposureStops > 0 ? "lighter" : "darker")} against camera A"));
        }

        if (step.IsWhiteBalance)
        {
            what.Add(FormattableString.Invariant($"its white balance moves by {step.RedGreenStops:+0.00;-0.00;0.00} stop red and {step.BlueGreenStops:+0.00;-0.00;0.00} stop blue"));
        }

        return Html.Of($"<li>At {step.PrimarySeconds:0.0} s {string.Join(", and ", what)}.</li>");
    }

    private static Html Sync(ReportModel model) => model.Sync is not { } sync ? Html.None : Html.Of($"""
        <section aria-labelledby="sync"><h2 id="sync">In time</h2>
        <p>{sync.Sentence}</p>
        <dl class="facts">{Facts(sync.Figures)}</dl>
        {Html.When(sync.Sound is not null, () => SoundPlot.Of(sync.Sound!))}
        {Html.When(sync.Frame is not null, () => Html.Of($"<h3>Both frames of that moment</h3>{PictureSection.Evidence(sync.Frame!)}"))}
        </section>
        """);

    private static Html Clips(ReportModel model)
    {
        Html One(string role, ReportClip clip) => Html.Of($"""
            <div><h3>{role}: <bdi>{clip.Name}</bdi></h3><dl class="facts">{Facts(clip.Facts)}</dl>
            {Html.When(!clip.Assumptions.IsEmpty, () => Html.Of($"<p>Assumed, because the file does not state it:</p><ul>{Html.Each(clip.Assumptions, a => Html.Of($"<li>{a}</li>"))}</ul>"))}</div>
            """);
        return model is { Primary: { } p, Secondary: { } s }
            ? Html.Of($"<section aria-labelledby=\"clips\"><h2 id=\"clips\">Clips</h2><div class=\"pair\">{One("Camera A", p)}{One("Camera B", s)}</div></section>")
            : Html.None;
    }

    private static Html How(ReportModel model) => Html.Of($"""
        <section aria-labelledby="how"><h2 id="how">How it was computed</h2>
        <p>Code values go through the encoding's display curve to CIELAB (relative to its own white), differences are CIEDE2000 (ISO/CIE 11664-6). Colours are compared in {model.Encoding.Title}{Html.When(model.Encoding != model.SecondaryEncoding, () => Html.Of($"; camera B was recorded in {model.SecondaryEncoding.Title}"))}. Pictures on this page are limited to sRGB; the figures are not.</p>
        {Html.When(!model.HowComputed.IsEmpty, () => Html.Of($"<dl class=\"facts how\">{Facts(model.HowComputed)}</dl>"))}
        </section>
        """);

    private static Html Facts(IEnumerable<(string Label, string Value)> facts) =>
        Html.Each(facts, f => Html.Of($"<div><dt>{f.Label}</dt><dd><bdi>{f.Value}</bdi></dd></div>"));
}

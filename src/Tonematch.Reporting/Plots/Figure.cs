namespace Tonematch.Reporting.Plots;

/// <summary>A plot with its title, a sentence on how to read it, and its legend.</summary>
internal static class Figure
{
    private static readonly Html s_ring = new("<svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><circle class=\"ring\" cx=\"6\" cy=\"6\" r=\"4.2\"/></svg>");
    private static readonly Html s_square = new("<svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"square\" d=\"M3 3h6v6h-6z\"/></svg>");
    private static readonly Html s_dot = new("<svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><circle class=\"dot\" cx=\"6\" cy=\"6\" r=\"4\"/></svg>");

    public static Html PrimaryKey => Html.Of($"<li>{s_ring} camera A</li>");

    public static Html SecondaryKey => Html.Of($"<li>{s_square} camera B as recorded</li>");

    public static Html CorrectedKey => Html.Of($"<li>{s_dot} camera B corrected</li>");

    public static Html Of(string title, string reading, Html content, Html legend = default, string kind = "plot") => Html.Of($"""
        <figure class="{kind}"><figcaption><strong>{title}</strong> <span>{reading}</span></figcaption>
        {Html.When(!string.IsNullOrEmpty(legend.Markup), () => Html.Of($"<ul class=\"legend\">{legend}</ul>"))}
        {content}</figure>
        """);
}

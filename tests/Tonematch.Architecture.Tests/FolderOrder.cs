namespace Tonematch.Architecture.Tests;

/// <summary>
/// The order of the folders inside each project: per line a folder, or a single file of it ('Stages.FrameStage', or in the
/// root just its name), and the lines that it may know; '=Clips' makes it a part of the line Clips. A file belongs to the line that names it most closely; '' is the
/// rest of a project's root.
/// </summary>
internal static class FolderOrder
{
    // The two exceptions of Core that stand in its root.
    private const string Unusable = "UnusableInputException", NotTrusted = "NoTrustworthyResultException";

    public static Dictionary<string, Dictionary<string, string[]>> Of { get; } = new()
    {
        ["Tonematch.Core"] = new()
        {
            [Unusable] = [],
            [NotTrusted] = [],
            ["Numerics"] = [],
            ["Colour"] = ["Numerics"],
            ["Pictures"] = ["Numerics", "Colour"],
            ["Sync"] = ["Numerics", "Colour", "Pictures"],
            ["Shoot"] = ["Numerics", "Sync"],
            ["FramePairs"] = ["Numerics", "Colour", "Pictures", "Sync"],
            ["Samples"] = ["Numerics", "Colour", "Pictures", Unusable],
            ["Corrections"] = ["Numerics", "Colour"],
            ["Fitting"] = ["Numerics", "Colour", "Samples", "Corrections", NotTrusted],
            ["Luts.Tables"] = ["Numerics", "Colour", "Pictures", "Samples", "Corrections", "Fitting", Unusable],
            ["Luts.Engine"] = ["Luts.Tables", "Colour", "Pictures"],
            ["Luts"] = ["Luts.Tables", "Luts.Engine", "Pictures", "Colour"],
            ["Checking"] = ["Numerics", "Colour", "Pictures", "Samples", "Corrections", "Fitting"],
            ["Drift"] = ["Numerics", "Colour"],
            ["States"] = ["Numerics", "Colour", "Pictures", "Checking", "Drift"],
            ["Formats"] = ["Numerics", "Colour", "Drift", "Sync", "Shoot", "Samples", "Corrections", "Fitting", "Luts.Tables", "Checking", Unusable],
            ["Formats.Timelines"] = ["Formats", "Shoot", "Sync", Unusable],
            ["Formats.Pairs"] = ["Formats", "Colour", "Samples", Unusable],
            ["Formats.Cube"] = ["Formats", "Formats.Clf", "Colour", "Luts.Tables", Unusable],
            ["Formats.Inputs"] = ["Formats.Cube", "Formats.Clf", "Colour", "Luts", "Luts.Tables"],
            ["Formats.Cdl"] = ["Formats", "Colour", "Corrections", "Fitting", "Samples", "Luts.Tables", Unusable],
            ["Formats.Clf"] = ["Formats", "Formats.Cdl", "Colour", "Corrections", "Luts.Tables", Unusable],
        },
        ["Tonematch.Media"] = new()
        {
            ["Clips.Rational"] = [],
            ["Processes"] = ["Clips.Rational"],
            ["Clips"] = ["Clips.Rational", "Processes"],

            // A clip keeps its frames' times once they are read, and some containers tell them only to a decoder: these
            // files of Frames are one knot with Clips, and the rest of Frames comes after them.
            ["Frames.YcbcrToRgb"] = ["=Clips"],
            ["Frames.FrameLine"] = ["=Clips"],
            ["Frames.RawFrames"] = ["=Clips"],
            ["Frames"] = ["Clips", "Clips.Rational", "Processes"],
            ["Sound"] = ["Clips", "Processes"],
            ["Reading"] = ["Clips", "Frames", "Sound"],
            ["Files"] = [],
            ["Rendering"] = ["Clips", "Clips.Rational", "Frames", "Processes", "Files"],
        },
        ["Tonematch.Vision"] = new()
        {
            ["VisionLibrary"] = [],
            ["NativeVision"] = ["VisionLibrary"],
            ["PictureMat"] = [],
            ["Charts"] = ["NativeVision", "PictureMat"],
            ["Overlap"] = ["NativeVision", "PictureMat"],
        },
        ["Tonematch.Demo"] = new()
        {
            [""] = [],
        },
        ["Tonematch.Matching"] = new()
        {
            ["ProgramVersion"] = [],
            ["StageProgress"] = [],
            ["ShareOfStage"] = ["StageProgress"],
            ["Requests"] = [],
            ["Words"] = [],
            ["Outcome"] = ["Requests", "Words"],
            ["Words.MatchWords"] = ["Words", "Words.VerdictWords", "Outcome"],
            ["Words.DriftWords"] = ["Words", "Outcome"],
            ["Words.InputWords"] = ["Requests", "Outcome"],
            ["Words.VerdictWords"] = ["Words", "Outcome"],

            // The stages: none serves another, but for choosing instants, which is a part of taking frames, and the check,
            // which takes frames and finds colours in them again at other instants; the edits, which take frames
            // for what a person marked; and the drift, which follows what the check found and fits once more.
            ["Stages.VisionNeed"] = ["Requests"],
            ["Stages.ChartScan"] = [],
            ["Stages.SyncStage"] = ["Requests"],
            ["Stages.QuickInstants"] = ["Outcome"],
            ["Stages.InstantCandidates"] = ["Outcome", "Stages.InstantCandidate"],
            ["Stages.InstantCandidate"] = ["Outcome"],
            ["Stages.FrameStage"] = ["Requests", "Outcome", "Stages.QuickInstants", "Stages.InstantCandidates", "Stages.InstantCandidate"],
            ["Stages.SampleStage"] = ["Words", "Requests", "Outcome"],
            ["Stages.FitStage"] = ["Outcome"],
            ["Stages.EditStage"] = ["Requests", "Outcome", "Stages.FrameStage"],
            ["Stages.DriftStage"] = ["Requests", "Outcome", "StageProgress", "Stages.FitStage", "Stages.Check"],
            ["Stages.Check"] =
            [
                "Requests", "Outcome", "StageProgress",
                "Stages.QuickInstants", "Stages.InstantCandidate", "Stages.FrameStage", "Stages.SampleStage",
            ],
            ["MatchJob"] =
            [
                "Requests", "Outcome", "Words", "Words.DriftWords", "Words.InputWords", "StageProgress", "ShareOfStage",
                "Stages.VisionNeed", "Stages.ChartScan", "Stages.SyncStage", "Stages.EditStage", "Stages.DriftStage",
                "Stages.InstantCandidate", "Stages.FrameStage", "Stages.SampleStage", "Stages.FitStage", "Stages.Check",
            ],
            ["CheckJob"] = ["Requests", "Outcome", "Words.DriftWords", "Words.InputWords", "StageProgress", "MatchJob", "Stages.VisionNeed", "Stages.SyncStage", "Stages.Check", "Stages.DriftStage"],
            ["Shoot"] = ["Requests", "Outcome", "StageProgress", "MatchJob", "Stages.FitStage", "Stages.Check", "Stages.DriftStage"],
        },
        ["Tonematch.Reporting"] = new()
        {
            ["Html"] = [],
            ["HtmlHandler"] = ["=Html"],
            ["PageColour"] = [],
            ["ReportKind"] = [],
            ["ReportContext"] = [],
            ["ReportClip"] = [],
            ["ReportFrame"] = [],
            ["ReportPair"] = [],
            ["ReportSync"] = ["ReportFrame"],
            ["FirstLook"] = ["ReportFrame", "ReportPair"],
            ["ReportModel"] = ["FirstLook", "ReportClip", "ReportFrame", "ReportKind", "ReportPair", "ReportSync"],
            ["Plots"] = ["Html", "PageColour", "ReportModel", "ReportPair"],
            [""] =
            [
                "Html", "PageColour", "ReportKind", "ReportContext", "ReportClip", "ReportFrame", "ReportPair", "ReportSync", "ReportModel",
                "FirstLook", "Plots",
            ],
        },
        ["Tonematch.Exports"] = new()
        {
            ["ReadBack"] = [],
            ["MatchJson"] = [],
            ["Corrections"] = ["ReadBack"],
            ["Products"] = ["ReadBack", "MatchJson", "Corrections"],
            ["Rendering"] = ["Corrections"],
            [""] = ["ReadBack", "MatchJson", "Products"],
        },
        ["Tonematch.Workbench"] = new()
        {
            ["WorkbenchOptions"] = [],
            ["Door"] = [],
            ["Files"] = [],
            ["Session"] = [],
            ["Jobs.JobState"] = [],
            ["Sound.ClockText"] = [],

            // The messages; then what makes them; then what sends them.
            ["Api"] = ["Jobs.JobState"],
            ["Sound"] = ["Api"],
            ["Pictures"] = ["Api", "Files"],
            ["Jobs"] = ["Jobs.JobState", "Api", "Files", "Session", "Sound.ClockText"],
            ["Api.Describe"] = ["Api", "Files", "Jobs", "Pictures", "Session", "Sound.ClockText"],
            ["Api.Endpoints"] = ["Api", "Api.Describe", "Files", "Jobs", "Jobs.JobState", "Pictures", "Session", "Sound"],
            ["WorkbenchServer"] = ["WorkbenchOptions", "Door", "Files", "Jobs", "Pictures", "Sound", "Api", "Api.Endpoints"],
        },
        ["Tonematch.Cli"] = new()
        {
            ["ExitCode"] = [],
            ["WrongUseException"] = [],
            ["Forwarded"] = [],
            ["PlainText"] = [],
            ["ScreenOutput"] = [],
            ["ScreenWriter"] = [],
            ["ShareColumn"] = [],
            ["TimeLeftColumn"] = [],
            ["Terminal"] = ["PlainText", "ScreenOutput", "ScreenWriter", "ShareColumn", "TimeLeftColumn"],
            ["Commands"] = ["ExitCode", "WrongUseException", "Forwarded", "Terminal"],
            [""] = ["ExitCode", "WrongUseException", "Terminal", "Commands"],
        },
    };
}

using System.Globalization;
using Tonematch.Matching.Requests;
using Tonematch.Workbench.Files;
using Tonematch.Workbench.Session;

namespace Tonematch.Workbench.Jobs;

/// <summary>
/// The job of one clip of camera B as decided, with keys that show whether an earlier result is still valid.
/// </summary>
/// <param name="Request">The job.</param>
/// <param name="SamplingKey">Everything that decides which samples are found, as text.</param>
/// <param name="EditsKey">The same with the changes to the samples.</param>
/// <param name="Key">Everything.</param>
internal sealed record MatchTask(MatchRequest Request, string SamplingKey, string EditsKey, string Key)
{
    /// <summary>The task of a session's match.</summary>
    /// <exception cref="UnusableInputException">The session names no clip for camera A, or an unknown chart.</exception>
    public static MatchTask Of(WorkbenchSession session, SessionMatch match)
    {
        // A file that was changed or replaced under the same name must be analysed again, too.
        string KeyOf(SessionMatch m) => SessionJson.Write(session with { Secondaries = [m] }, path =>
        {
            (_, long size, long ticks) = ClipShelf.Stamp(path);
            return string.Create(CultureInfo.InvariantCulture, $"{path}?{size}?{ticks}");
        });
        return new MatchTask(
            session.RequestOf(match),
            KeyOf(match.Method == Samples.SamplingMethod.Regions ? match with { Model = null, Trim = Corrections.Trim.None } : match.OnlySampling),
            KeyOf(match with { Model = null, Trim = Corrections.Trim.None }),
            KeyOf(match));
    }
}

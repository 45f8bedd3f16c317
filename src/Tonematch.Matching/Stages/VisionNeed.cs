using Tonematch.Matching.Requests;
using Tonematch.Samples;
using Tonematch.Vision;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Which requests need the vision library, so that none of them runs with reduced abilities without it.
/// </summary>
public static class VisionNeed
{
    /// <summary>
    /// Whether charts or common objects must be searched for: not if the user marked what to compare, or asked for
    /// whole pictures.
    /// </summary>
    public static bool Of(MatchRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        bool hasBothCorners = request.Primary.ChartCorners is not null && request.Secondary.ChartCorners is not null;
        return request.Method switch
        {
            SamplingMethod.Regions or SamplingMethod.Overall => false,
            SamplingMethod.Chart => !hasBothCorners,
            null => request.Regions.IsEmpty && !hasBothCorners,
            _ => true,
        };
    }

    /// <summary>Refuses a request that needs the library when it is unavailable.</summary>
    /// <exception cref="UnusableInputException">The library is needed and unavailable; the message names what is missing and what to do by hand.</exception>
    public static void Require(MatchRequest request)
    {
        if (Of(request) && NativeVision.Fault is { } fault)
        {
            throw new UnusableInputException(fault);
        }
    }
}

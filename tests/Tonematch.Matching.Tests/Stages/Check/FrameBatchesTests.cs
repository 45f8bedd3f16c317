using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Stages.Check;
using Tonematch.Media.Clips;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Matching.Tests.Stages.Check;

public class FrameBatchesTests
{
    [Fact]
    public async Task Take_ManyInstants_GivesThemAllInOrderSixAtATime()
    {
        List<ImmutableArray<MatchedFrames>> batches = [];
        await foreach (ImmutableArray<MatchedFrames> batch in FrameBatches.TakeAsync(Clips(new()), Instants(14), 640, TestContext.Current.CancellationToken))
        {
            batches.Add(batch);
        }

        Assert.Equal([6, 6, 2], batches.Select(b => b.Length));
        Assert.Equal(Instants(14).Select(i => i.PrimarySeconds), batches.SelectMany(b => b).Select(f => f.Primary.Seconds));
    }

    [Fact]
    public async Task Take_CallerStopsEarly_WaitsForThePendingGrab()
    {
        TaskCompletionSource gate = new(TaskCreationOptions.RunContinuationsAsynchronously);
        MadeClipReader reader = new() { Gate = gate.Task };
        IAsyncEnumerator<ImmutableArray<MatchedFrames>> batches =
            FrameBatches.TakeAsync(Clips(reader), Instants(14), 640, TestContext.Current.CancellationToken).GetAsyncEnumerator(TestContext.Current.CancellationToken);
        Assert.True(await batches.MoveNextAsync());
        Assert.NotEqual(0, reader.Pending);
        Task left = batches.DisposeAsync().AsTask();
        Assert.False(left.IsCompleted);
        gate.SetResult();
        await left;
        Assert.Equal(0, reader.Pending);
    }

    [Fact]
    public async Task Take_PendingGrabFails_IsNotTheBusinessOfACallerWhoStoppedEarly()
    {
        TaskCompletionSource gate = new(TaskCreationOptions.RunContinuationsAsynchronously);
        MadeClipReader reader = new() { Gate = gate.Task };
        await foreach (ImmutableArray<MatchedFrames> batch in FrameBatches.TakeAsync(Clips(reader), Instants(14), 640, TestContext.Current.CancellationToken))
        {
            Assert.Equal(6, batch.Length);
            gate.SetException(new UnusableInputException("The card was pulled out."));
            break;
        }

        Assert.Equal(0, reader.Pending);
    }

    private static FrameStage.Instant[] Instants(int count) => [.. Enumerable.Range(0, count).Select(i => new FrameStage.Instant(Math.Round(1 + (i * 0.4), 9), Math.Round(i * 0.4, 9), ""))];

    private static SyncedClips Clips(MadeClipReader reader)
    {
        ClipInfo a = reader.Add(MadeClip.Of("a", 64, 36), _ => DrawnScene.Plain(0.5, 64, 36)), b = reader.Add(MadeClip.Of("b", 64, 36), _ => DrawnScene.Plain(0.4, 64, 36));
        return new SyncedClips(a, b, SyncFound.Given(-1)) { Reader = reader };
    }
}

using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using System.Threading.Channels;

namespace Tonematch.Workbench.Jobs;

/// <summary>Tells every open page what happens. Pages ask for the state when they open, so nothing older is kept.</summary>
internal sealed class EventHub
{
    private readonly Lock _lock = new();
    private readonly List<Channel<SseItem<string>>> _listeners = [];
    private long _number;

    /// <summary>Tells all pages.</summary>
    /// <param name="kind">What happened: 'job', 'state', 'trouble'.</param>
    /// <param name="json">The facts.</param>
    public void Tell(string kind, string json)
    {
        lock (_lock)
        {
            SseItem<string> item = new(json, kind) { EventId = (++_number).ToString(System.Globalization.CultureInfo.InvariantCulture) };
            foreach (Channel<SseItem<string>> listener in _listeners)
            {
                listener.Writer.TryWrite(item);
            }
        }
    }

    /// <summary>Everything from now on, until the page is gone.</summary>
    /// <param name="first">What a page is told at once: jobs that run.</param>
    /// <param name="cancel">The page is gone, or the program ends.</param>
    public async IAsyncEnumerable<SseItem<string>> ListenAsync(IEnumerable<(string Kind, string Json)> first, [EnumeratorCancellation] CancellationToken cancel)
    {
        // A page that does not read any more loses the oldest news; it asks for the state when it comes back.
        Channel<SseItem<string>> mine = Channel.CreateBounded<SseItem<string>>(new BoundedChannelOptions(500) { FullMode = BoundedChannelFullMode.DropOldest });
        lock (_lock)
        {
            _listeners.Add(mine);
            foreach ((string kind, string json) in first)
            {
                mine.Writer.TryWrite(new SseItem<string>(json, kind));
            }
        }

        try
        {
            while (!cancel.IsCancellationRequested)
            {
                SseItem<string> item;
                try
                {
                    item = await mine.Reader.ReadAsync(cancel);
                }
                catch (OperationCanceledException)
                {
                    break;
                }

                yield return item;
            }
        }
        finally
        {
            lock (_lock)
            {
                _listeners.Remove(mine);
            }
        }
    }
}

using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using System.Threading.Channels;

namespace Tonematch.Workbench.Jobs;

/// <summary>
/// Sends events to every open page. Pages ask for the state when they open, so no older events are kept.
/// </summary>
internal sealed class EventHub
{
    private readonly Lock _lock = new();
    private readonly List<Channel<SseItem<string>>> _listeners = [];
    private long _number;

    /// <summary>Sends an event to all pages.</summary>
    /// <param name="kind">The kind of event: 'job', 'state', 'trouble'.</param>
    /// <param name="json">The event's data.</param>
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

    /// <summary>All events from now on, until the page is closed.</summary>
    /// <param name="first">The first events, sent at once: running jobs.</param>
    /// <param name="cancel">The page is closed, or the program ends.</param>
    public async IAsyncEnumerable<SseItem<string>> ListenAsync(IEnumerable<(string Kind, string Json)> first, [EnumeratorCancellation] CancellationToken cancel)
    {
        // A page that stops reading loses the oldest events; it asks for the state when it reconnects.
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

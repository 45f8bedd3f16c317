using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;

namespace Tonematch.Workbench.Api;

/// <summary>Reads requests and writes answers: unusable input is answered with a sentence and status 422.</summary>
internal static class Answers
{
    /// <summary>Runs an endpoint; refusals and failures become a sentence on the page.</summary>
    /// <param name="endpoint">Answers the request.</param>
    /// <param name="plain">Removes paths of this machine from a sentence.</param>
    public static RequestDelegate Guarded(Func<HttpContext, Task> endpoint, Func<string, string> plain) => async http =>
    {
        try
        {
            await endpoint(http);
        }
        catch (OperationCanceledException) when (http.RequestAborted.IsCancellationRequested)
        {
            // The page has asked for something newer.
        }
        catch (Exception e) when (e is UnusableInputException or NoTrustworthyResultException)
        {
            await SayAsync(http, StatusCodes.Status422UnprocessableEntity, plain(e.Message));
        }
        catch (Exception e) when (e is JsonException or FormatException or BadHttpRequestException)
        {
            await SayAsync(http, StatusCodes.Status400BadRequest, "This request cannot be read.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            await SayAsync(http, StatusCodes.Status422UnprocessableEntity, plain($"A file could not be read: {e.Message}"));
        }
#pragma warning disable CA1031 // A bug must end in a sentence on the page, never in a page that waits for ever.
        catch (Exception e)
#pragma warning restore CA1031
        {
            await SayAsync(http, StatusCodes.Status500InternalServerError, plain($"Tonematch could not do this because of an internal error ({e.GetType().Name}: {e.Message}). Your decisions are kept."));
        }
    };

    /// <summary>Answers with JSON.</summary>
    public static Task JsonAsync<T>(HttpContext http, T value, JsonTypeInfo<T> type) => http.Response.WriteAsJsonAsync(value, type, cancellationToken: http.RequestAborted);

    /// <summary>Answers with a sentence.</summary>
    public static Task SayAsync(HttpContext http, int status, string sentence)
    {
        if (http.Response.HasStarted)
        {
            return Task.CompletedTask;
        }

        http.Response.StatusCode = status;
        return JsonAsync(http, new SayMessage(sentence), ApiJson.Default.SayMessage);
    }

    /// <summary>Reads JSON.</summary>
    public static async Task<T> ReadAsync<T>(HttpContext http, JsonTypeInfo<T> type)
        where T : class => await JsonSerializer.DeserializeAsync(http.Request.Body, type, http.RequestAborted) ?? throw new JsonException();

    /// <summary>Answers with bytes.</summary>
    public static async Task BytesAsync(HttpContext http, ReadOnlyMemory<byte> bytes, string type)
    {
        http.Response.ContentType = type;
        http.Response.ContentLength = bytes.Length;
        await http.Response.Body.WriteAsync(bytes, http.RequestAborted);
    }

    /// <summary>A text parameter of the query.</summary>
    public static string Text(HttpContext http, string name) => http.Request.Query[name].ToString();

    /// <summary>A numeric parameter of the query, or a default.</summary>
    public static double Number(HttpContext http, string name, double usual)
    {
        string text = Text(http, name);
        return text.Length == 0 ? usual
            : double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value) ? value
            : throw new FormatException();
    }
}

using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Tonematch.Workbench.Door;

/// <summary>
/// Decides which requests are let in. The server listens on this machine only, but every page of every site in the same
/// browser can send requests to it. Therefore it checks the host, the origin, a key that works once, and a cookie, in
/// this order.
/// </summary>
internal sealed class Doorkeeper
{
    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; media-src 'self' blob:; connect-src 'self'; "
        + "form-action 'none'; base-uri 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'";

    private readonly string _ticket = Secret();
    private readonly Lock _lock = new();
    private string? _key;
    private string _authority = "";

    /// <summary>The address without a key, e.g. 'http://127.0.0.1:34819'; known once the server listens.</summary>
    public string Origin => "http://" + _authority;

    private string CookieName => "tonematch-" + _authority[(_authority.IndexOf(':', StringComparison.Ordinal) + 1)..];

    /// <summary>Sets the port on which the server listens.</summary>
    public void OpenAt(int port) => _authority = string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{port}");

    /// <summary>An address that lets one browser in; the previous one is no longer valid.</summary>
    public Uri NewAddress()
    {
        lock (_lock)
        {
            _key = Secret();
            return new Uri($"{Origin}/?key={_key}");
        }
    }

    /// <summary>The middleware.</summary>
    public async Task PassAsync(HttpContext http, RequestDelegate next)
    {
        HttpRequest request = http.Request;
        IHeaderDictionary headers = http.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers.CacheControl = "no-store";
        bool onlyReads = HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);
        string? origin = request.Headers.Origin.Count > 0 ? request.Headers.Origin.ToString() : null;
        string site = request.Headers["Sec-Fetch-Site"].ToString();
        if (request.Headers.Host.Count != 1 || request.Headers.Host.ToString() != _authority)
        {
            // A foreign page could look like ours through another host name that leads here.
            await RefuseAsync(http, StatusCodes.Status421MisdirectedRequest, $"Open the page by its own address: it begins with {Origin}/.");
        }
        else if ((origin is null ? !onlyReads : origin != Origin) || site is not ("" or "same-origin" or "none"))
        {
            await RefuseAsync(http, StatusCodes.Status403Forbidden, "This request comes from another page.");
        }
        else if (onlyReads && request.Path == "/" && request.Query.TryGetValue("key", out Microsoft.Extensions.Primitives.StringValues key))
        {
            if (UseKey(key.ToString()))
            {
                http.Response.Cookies.Append(CookieName, _ticket, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, Path = "/", IsEssential = true });
                http.Response.Redirect("/");
            }
            else if (HasTicket(request))
            {
                http.Response.Redirect("/");
            }
            else
            {
                await RefuseAsync(http, StatusCodes.Status403Forbidden, "This address was used already or is wrong. Press Enter in the terminal for a new one, or start the workbench again.");
            }
        }
        else if (!HasTicket(request))
        {
            await RefuseAsync(http, StatusCodes.Status403Forbidden, "This page belongs to another start of the workbench. Open the address that the terminal shows.");
        }
        else
        {
            await next(http);
        }
    }

    private bool UseKey(string given)
    {
        lock (_lock)
        {
            bool isRight = _key is { } key && IsSame(given, key);
            _key = isRight ? null : _key;
            return isRight;
        }
    }

    private bool HasTicket(HttpRequest request) => request.Cookies.TryGetValue(CookieName, out string? ticket) && IsSame(ticket, _ticket);

    private static bool IsSame(string a, string b) => CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(a), Encoding.UTF8.GetBytes(b));

    private static string Secret() => Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16));

    private static async Task RefuseAsync(HttpContext http, int status, string sentence)
    {
        http.Response.StatusCode = status;
        http.Response.ContentType = "text/plain; charset=utf-8";
        await http.Response.WriteAsync(sentence, http.RequestAborted);
    }
}

using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Tests;

/// <summary>What a page of the program does, without the page: it carries the form's token and says where it comes from.</summary>
public sealed partial class PageClient : IDisposable
{
    [GeneratedRegex("name=\"stakeboat-token\" content=\"([^\"]+)\"")]
    private static partial Regex TokenPattern();

    [GeneratedRegex("href=\"/outings/([0-9a-f]{32})\"")]
    private static partial Regex OutingPattern();

    private readonly CookieContainer _cookies;

    private PageClient(HttpClient http, string token, CookieContainer cookies) => (Http, Token, _cookies) = (http, token, cookies);

    public HttpClient Http { get; }

    public string Token { get; }

    public sealed record Begun(string Id, bool Ready);

    public sealed record Kept(string Id, string Name, long Size);

    public static async Task<PageClient> OpenAsync(string address)
    {
        var cookies = new CookieContainer();
        var http = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, CookieContainer = cookies }) { BaseAddress = new Uri(address), Timeout = TimeSpan.FromSeconds(120) };
        string page = await http.GetStringAsync("/season");
        string token = WebUtility.HtmlDecode(TokenPattern().Match(page).Groups[1].Value);
        http.DefaultRequestHeaders.Add("Origin", address);
        return new PageClient(http, token, cookies);
    }

    /// <summary>The same page after the server was started again: what it was given before still holds.</summary>
    public PageClient At(string address)
    {
        var http = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, CookieContainer = _cookies }) { BaseAddress = new Uri(address), Timeout = TimeSpan.FromSeconds(120) };
        http.DefaultRequestHeaders.Add("Origin", address);
        return new PageClient(http, Token, _cookies);
    }

    public static string NewKey() => Guid.NewGuid().ToString("N");

    public HttpRequestMessage Request(HttpMethod method, string path, HttpContent? content = null, string? token = "own")
    {
        var r = new HttpRequestMessage(method, path) { Content = content };
        if (token is not null)
        {
            r.Headers.Add("X-Stakeboat-Token", token == "own" ? Token : token);
        }

        return r;
    }

    public async Task<HttpResponseMessage> SendAsync(HttpMethod method, string path, HttpContent? content = null)
    {
        using var r = Request(method, path, content);
        return await Http.SendAsync(r);
    }

    /// <summary>Posts a form as a browser would, and gives the status.</summary>
    public async Task<HttpResponseMessage> FormAsync(string path, params (string Name, string Value)[] fields)
    {
        using var r = Request(HttpMethod.Post, path, new FormUrlEncodedContent(fields.Select(f => new KeyValuePair<string, string>(f.Name, f.Value))));
        return await Http.SendAsync(r);
    }

    public async Task<string> BeginAsync(string name = "Race", string? key = null)
    {
        using var answer = await SendAsync(HttpMethod.Post, "/imports", JsonContent.Create(new { name, key = key ?? NewKey() }));
        answer.EnsureSuccessStatusCode();
        return (await answer.Content.ReadFromJsonAsync<Begun>())!.Id;
    }

    public async Task<Kept> PutAsync(string id, string name, byte[] bytes)
    {
        using var answer = await SendAsync(HttpMethod.Put, $"/imports/{id}/files?name={Uri.EscapeDataString(name)}", new ByteArrayContent(bytes));
        answer.EnsureSuccessStatusCode();
        return (await answer.Content.ReadFromJsonAsync<Kept>())!;
    }

    public async Task FinishAsync(string id)
    {
        using var answer = await SendAsync(HttpMethod.Post, $"/imports/{id}/finish");
        answer.EnsureSuccessStatusCode();
    }

    /// <summary>Brings files in and waits until their debrief is there.</summary>
    public async Task<string> ImportAsync(string name, params IEnumerable<string> files)
    {
        string id = await BeginAsync(name);
        foreach (string f in files)
        {
            await PutAsync(id, Path.GetFileName(f), await File.ReadAllBytesAsync(f));
        }

        await FinishAsync(id);
        using var state = await SettledAsync(id);
        Assert.True(state.RootElement.GetProperty("fresh").GetBoolean(), state.RootElement.ToString());
        return id;
    }

    public async Task<JsonDocument> StateAsync(string id) => JsonDocument.Parse(await Http.GetStringAsync($"/outings/{id}/state"));

    /// <summary>Waits until no work on the outing is left.</summary>
    public async Task<JsonDocument> SettledAsync(string id)
    {
        for (int i = 0; ; i++)
        {
            var state = await StateAsync(id);
            if (state.RootElement.GetProperty("jobState").GetString() is not ("queued" or "running"))
            {
                return state;
            }

            state.Dispose();
            Assert.True(i < 4000, "The analysis did not end.");
            await Task.Delay(50);
        }
    }

    public async Task<DebriefDocument> DebriefAsync(string id) => DebriefJson.Read(await Http.GetByteArrayAsync($"/outings/{id}/debrief"));

    /// <summary>Sends a correction and gives the page's answer.</summary>
    public async Task<JsonElement> CorrectAsync(string id, object part)
    {
        using var answer = await SendAsync(HttpMethod.Post, $"/outings/{id}/corrections", JsonContent.Create(new { correction = part, key = NewKey() }));
        string text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.IsSuccessStatusCode, text);
        using var json = JsonDocument.Parse(text);
        return json.RootElement.Clone();
    }

    public async Task<JsonElement> StepAsync(string id, string step)
    {
        using var answer = await SendAsync(HttpMethod.Post, $"/outings/{id}/{step}", JsonContent.Create(new { }));
        answer.EnsureSuccessStatusCode();
        using var json = JsonDocument.Parse(await answer.Content.ReadAsStringAsync());
        return json.RootElement.Clone();
    }

    /// <summary>The outings that the season shows.</summary>
    public async Task<IReadOnlyList<string>> SeasonAsync(string query = "") =>
        [.. OutingPattern().Matches(await Http.GetStringAsync("/season" + query)).Select(m => m.Groups[1].Value).Distinct()];

    public void Dispose() => Http.Dispose();
}

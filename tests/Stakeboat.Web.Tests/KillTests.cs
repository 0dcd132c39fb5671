using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Stakeboat.Web.Tests;

/// <summary>The server is killed at random instants of import, analysis and correction. What it acknowledged must be there afterwards, and nothing half-done.</summary>
public sealed partial class KillTests
{
    /// <summary>How many; STAKEBOAT_KILLS asks for more than the everyday run.</summary>
    private static int Kills =>
        int.TryParse(Environment.GetEnvironmentVariable("STAKEBOAT_KILLS"), System.Globalization.CultureInfo.InvariantCulture, out int n) ? n : 40;

    [GeneratedRegex("name=\"stakeboat-token\" content=\"([^\"]+)\"")]
    private static partial Regex Token();

    private sealed record Begun(string Id);

    [Fact]
    public async Task WhatWasAcknowledgedOutlivesEveryKill()
    {
        // Two servers side by side, each with its own folder and seed.
        await Task.WhenAll(SeriesAsync(1, Kills / 2), SeriesAsync(2, Kills - Kills / 2));
    }

    private static async Task SeriesAsync(int seed, int kills)
    {
        var random = new Random(seed);
        string data = Directory.CreateTempSubdirectory("stakeboat-kill-").FullName;
        var finished = new Dictionary<string, int>();
        try
        {
            for (int kill = 0; kill <= kills; kill++)
            {
                var (server, address) = await ServerFixture.StartAsync(data);
                using (server)
                {
                    using var client = new HttpClient { BaseAddress = new Uri(address), Timeout = TimeSpan.FromSeconds(60) };
                    await CheckAsync(client, data, finished);
                    if (kill < kills)
                    {
                        // Counted in acknowledged steps and then a random moment more, so that a slow machine is killed in its work too.
                        var steps = new SemaphoreSlim(0);
                        var work = WorkAsync(client, address, random.Next(), finished, steps);
                        for (int left = random.Next(1, 13); left > 0 && !work.IsCompleted; left--)
                        {
                            Assert.True(await steps.WaitAsync(TimeSpan.FromSeconds(60)), "The server stopped answering.");
                        }

                        await Task.Delay(random.Next(0, 80));
                        server.Kill();
                        await work;
                    }
                    else
                    {
                        server.Kill();
                    }

                    await server.WaitForExitAsync();
                }
            }

            Assert.NotEmpty(finished);
        }
        finally
        {
            Directory.Delete(data, recursive: true);
        }
    }

    /// <summary>Imports and corrects until the connection dies, noting only what was acknowledged.</summary>
    private static async Task WorkAsync(HttpClient client, string address, int seed, Dictionary<string, int> finished, SemaphoreSlim steps)
    {
        try
        {
            string token = System.Net.WebUtility.HtmlDecode(Token().Match(await client.GetStringAsync("/season")).Groups[1].Value);
            steps.Release();
            client.DefaultRequestHeaders.Add("Origin", address);
            client.DefaultRequestHeaders.Add("X-Stakeboat-Token", token);
            for (int i = 0; ; i++)
            {
                using var begin = await client.PostAsync("/imports", JsonContent.Create(new { name = "Race", key = Guid.NewGuid().ToString("N") }));
                begin.EnsureSuccessStatusCode();
                steps.Release();
                string id = (await begin.Content.ReadFromJsonAsync<Begun>())!.Id;
                string text = $"WEBVTT\n\n00:10.000 --> 00:12.000\nsit ready attention go {seed} {i}\n\n00:40.000 --> 00:42.000\nwe are at thirty four\n";
                using var put = await client.PutAsync($"/imports/{id}/files?name=captions.vtt", new ByteArrayContent(Encoding.UTF8.GetBytes(text)));
                put.EnsureSuccessStatusCode();
                steps.Release();
                using var end = await client.PostAsync($"/imports/{id}/finish", null);
                end.EnsureSuccessStatusCode();
                finished[id] = 0;
                steps.Release();
                for (int c = 0; c < 2; c++)
                {
                    using var correct = await client.PostAsync($"/outings/{id}/corrections", JsonContent.Create(new
                    {
                        correction = new { schema = "stakeboat.correction", version = 1, distance = new { metres = 1000.0 + c } }, key = Guid.NewGuid().ToString("N"),
                    }));
                    correct.EnsureSuccessStatusCode();
                    finished[id]++;
                    steps.Release();
                }
            }
        }
        catch (Exception e) when (e is HttpRequestException { StatusCode: null } or IOException or TaskCanceledException)
        {
            // Killed in the middle: what was noted is what was acknowledged.
        }
    }

    private static async Task CheckAsync(HttpClient client, string data, Dictionary<string, int> finished)
    {
        string season = await client.GetStringAsync("/season");
        foreach (var (id, corrections) in finished)
        {
            Assert.Contains($"/outings/{id}", season);
            if (corrections > 0)
            {
                using var state = JsonDocument.Parse(await client.GetStringAsync($"/outings/{id}/state"));
                // One file and at least the acknowledged corrections.
                Assert.True(state.RootElement.GetProperty("revision").GetInt32() >= 1 + corrections);
                Assert.Equal(JsonValueKind.String, state.RootElement.GetProperty("undo").ValueKind);
            }
        }

        Assert.Empty(Directory.EnumerateFiles(Path.Combine(data, "incoming")));
        foreach (string file in Directory.EnumerateFiles(Path.Combine(data, "originals"), "*", SearchOption.AllDirectories))
        {
            Assert.Equal(Path.GetFileName(file), Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(await File.ReadAllBytesAsync(file))));
        }
    }
}

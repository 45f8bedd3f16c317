using Xunit;

namespace Tonematch.Testing;

/// <summary>
/// Text that a person has approved once, kept beside the test: a test fails when it changes, shows the difference and
/// leaves the new text beside the old. With TONEMATCH_APPROVE=1 in the environment the new text is taken as approved.
/// </summary>
public static class Approved
{
    /// <summary>Compares text with the approved one.</summary>
    /// <param name="text">The text, lines ending in \n.</param>
    /// <param name="path">The approved file, 'Approved/name.txt' below the test's project; the new text is left in 'name.received.txt'.</param>
    public static void Match(string text, string path)
    {
        string received = Path.ChangeExtension(path, ".received.txt");
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        if (Environment.GetEnvironmentVariable("TONEMATCH_APPROVE") == "1")
        {
            File.WriteAllText(path, text);
            File.Delete(received);
            return;
        }

        string approved = File.Exists(path) ? File.ReadAllText(path).ReplaceLineEndings("\n") : "";
        if (approved == text)
        {
            File.Delete(received);
            return;
        }

        File.WriteAllText(received, text);
        Assert.Fail($"{path} is not what is there now (left in {Path.GetFileName(received)}; TONEMATCH_APPROVE=1 approves it):\n{Difference(approved, text)}");
    }

    /// <summary>The lines that are gone (-) and the lines that are new (+), in order.</summary>
    public static string Difference(string before, string after)
    {
        string[] old = before.Split('\n'), now = after.Split('\n');

        // Length of the longest common run of lines from each pair of places on.
        int[,] common = new int[old.Length + 1, now.Length + 1];
        for (int i = old.Length - 1; i >= 0; i--)
        {
            for (int j = now.Length - 1; j >= 0; j--)
            {
                common[i, j] = old[i] == now[j] ? common[i + 1, j + 1] + 1 : Math.Max(common[i + 1, j], common[i, j + 1]);
            }
        }

        List<string> lines = [];
        for (int i = 0, j = 0; i < old.Length || j < now.Length;)
        {
            if (i < old.Length && j < now.Length && old[i] == now[j])
            {
                (i, j) = (i + 1, j + 1);
            }
            else if (i < old.Length && (j == now.Length || common[i + 1, j] >= common[i, j + 1]))
            {
                lines.Add("- " + old[i++]);
            }
            else
            {
                lines.Add("+ " + now[j++]);
            }
        }

        return string.Join('\n', lines);
    }
}

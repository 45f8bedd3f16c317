namespace Tonematch.Testing;

/// <summary>Reads small comma-separated tables of test data; fields in double quotes may hold commas.</summary>
public static class CsvTable
{
    /// <summary>The rows after the header, each as column name to text.</summary>
    public static IReadOnlyList<IReadOnlyDictionary<string, string>> Read(string path)
    {
        string[] lines = File.ReadAllLines(path);
        string[] header = Split(lines[0]);
        return [.. lines.Skip(1).Where(l => l.Length > 0).Select(l =>
        {
            string[] fields = Split(l);
            return (IReadOnlyDictionary<string, string>)header.Zip(fields).ToDictionary(p => p.First, p => p.Second);
        })];
    }

    private static string[] Split(string line)
    {
        List<string> fields = [];
        bool quoted = false;
        int start = 0;
        for (int i = 0; i <= line.Length; i++)
        {
            if (i < line.Length && line[i] == '"')
            {
                quoted = !quoted;
            }
            else if (i == line.Length || (line[i] == ',' && !quoted))
            {
                fields.Add(line[start..i].Trim().Trim('"'));
                start = i + 1;
            }
        }

        return [.. fields];
    }
}

using System.Globalization;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Formats.Pairs;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Pairs;

public class PairsCsvTests
{
    private const string Header = "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b";
    private const string Line = "p1,g1,0.1,0.2,0.3,0.4,0.5,0.6";

    [Fact]
    public void Read_AllColumns_GivesWhatTheTableSays()
    {
        SampleSet set = Read($"{Header},weight,label\np1,g1,0.1,0.2,0.3,0.4,0.5,0.6,2.5,\"apron, blue\"\np2,g1,0,1,0.5,1e-3,.5,1,,\n");
        Assert.Equal(SamplingMethod.Given, set.Method);
        Assert.Equal(
            new SamplePair("p1", "g1", new(0.1, 0.2, 0.3), new(0.4, 0.5, 0.6)) { Weight = 2.5, Label = "apron, blue" }, set.Pairs[0]);
        Assert.Equal(new SamplePair("p2", "g1", new(0, 1, 0.5), new(0.001, 0.5, 1)), set.Pairs[1]);
    }

    // Formulas of a spreadsheet begin with one of these (common practice; OWASP, 'CSV Injection').
    [Theory]
    [InlineData("=1+2")]
    [InlineData("+1")]
    [InlineData("-1")]
    [InlineData("@SUM(A1)")]
    public void Write_ANameThatASpreadsheetWouldCompute_StandsAsTextAndReadsBack(string name)
    {
        SampleSet set = new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [new SamplePair(name, name, new(0.1, 0.2, 0.3), new(0.4, 0.5, 0.6)) { Label = name }]);
        string text = Text(set);
        Assert.All(text.Split('\n')[1].Split(','), field => Assert.False(field.TrimStart('"') is ['=' or '+' or '-' or '@', ..], field));
        Assert.Equal(set.Pairs, Read(text).Pairs);
    }

    [Theory]
    [InlineData("1e308")]
    [InlineData("1e-300")]
    public void Read_AWeightBeyondAllReason_IsRefused(string weight)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => Read($"{Header},weight\n{Line},{weight}\n"));
        Assert.Contains("line 2: the weight", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ByteOrderMarkCrLfAndBlankLines_AreAllowed() =>
        Assert.Single(Read($"\uFEFF{Header}\r\n\r\n{Line}\r\n   \r\n").Pairs);

    [Fact]
    public void WriteThenRead_AnySet_GivesTheSamePairsAndTheSameText() =>
        Gen.Select(Gen.Double[-0.5, 1.5].Array[6], Gen.Double[1e-9, 1e9], Gen.String[Gen.Char["ab,\" é;x=+-@'"], 0, 8]).Array[1, 20].Sample(rows =>
        {
            SampleSet set = new(SignalEncoding.Bt709, SignalEncoding.Srgb, SamplingMethod.Given,
            [
                .. rows.Select((t, i) => new SamplePair($"{i}", $"g{i / 2}", new(t.Item1[0], t.Item1[1], t.Item1[2]), new(t.Item1[3], t.Item1[4], t.Item1[5]))
                {
                    Weight = i % 2 == 0 ? 1 : t.Item2,
                    Label = t.Item3.Trim(),
                }),
            ]);
            string text = Text(set);
            SampleSet back = PairsCsv.Read(new StringReader(text), "pairs.csv", set.PrimaryEncoding, set.SecondaryEncoding);
            Assert.Equal(set.Pairs, back.Pairs);
            Assert.Equal(text, Text(back));
        });

    [Fact]
    public void Write_WeightsOfOneAndNoLabels_LeavesTheColumnsOut() => Assert.Equal($"{Header}\n{Line}\n", Text(Read($"{Header}\n{Line}\n")));

    [Theory]
    [InlineData("", "'pairs.csv' is empty")]
    [InlineData("\n \n", "is empty")]
    [InlineData(Header, "no pairs")]
    [InlineData("id;group;primary_r;primary_g;primary_b;secondary_r;secondary_g;secondary_b\n", "line 1: the columns are separated by semicolons")]
    [InlineData("name,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b\n", "column 1 should be 'id' but is called 'name'")]
    [InlineData("id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g\n", "column 8 should be 'secondary_b' but is missing")]
    [InlineData(Header + ",label\n", "column 9 should be 'weight' but is called 'label'")]
    [InlineData(Header + ",weight,label,locality,more\n", "at most 11 are known")]
    [InlineData(Header + "\n" + Line + ",7\n", "line 2: there are 9 columns where the header has 8")]
    [InlineData(Header + "\np1,g1,0,1,0,2,0,3,0,4,0,5,0,6\n", "Decimal commas")]
    [InlineData(Header + "\np1;g1;0.1;0.2;0.3;0.4;0.5;0.6\n", "not semicolons")]
    [InlineData(Header + "\np1,g1,\"0,1\",0.2,0.3,0.4,0.5,0.6\n", "Write it with a decimal point")]
    [InlineData(Header + "\n\n" + Line + "\np2,g1,0.1,NaN,0.3,0.4,0.5,0.6\n", "line 4: primary_g is 'NaN'")]
    [InlineData(Header + "\np1,g1,0.1,0.2,Infinity,0.4,0.5,0.6\n", "primary_b is 'Infinity'")]
    [InlineData(Header + "\np1,g1,0.1,0.2,x,0.4,0.5,0.6\n", "primary_b is 'x', which is not a finite number")]
    [InlineData(Header + "\np1,g1,0.1,0.2,,0.4,0.5,0.6\n", "Fill it in")]
    [InlineData(Header + "\np1,g1,25,30,40,0.4,0.5,0.6\n", "Divide 8-bit values by 255")]
    [InlineData(Header + "\np1,g1,-3,0,0,0.4,0.5,0.6\n", "code values run from 0")]
    [InlineData(Header + "\n,g1,0.1,0.2,0.3,0.4,0.5,0.6\n", "the id is empty")]
    [InlineData(Header + "\np1,,0.1,0.2,0.3,0.4,0.5,0.6\n", "the group is empty")]
    [InlineData(Header + "\n" + Line + "\n" + Line + "\n", "line 3: the id 'p1' was already used in line 2")]
    [InlineData(Header + ",weight\n" + Line + ",0\n", "weight is 0, but must be above 0")]
    [InlineData(Header + ",weight\n" + Line + ",-1\n", "must be above 0")]
    [InlineData(Header + "\n\"p1,g1,0.1,0.2,0.3,0.4,0.5,0.6\n", "no closing one")]
    [InlineData("\0\0\u0001binary", "not text")]
    public void Read_OneFault_IsRefusedWithItsSentence(string text, string expected)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => Read(text));
        Assert.Contains(expected, e.Message, StringComparison.Ordinal);
        Assert.Contains("pairs.csv", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ALineWithoutEnd_IsRefusedBeforeItFillsTheMemory()
    {
        using EndlessReader endless = new();
        Assert.Contains("longer than", Assert.Throws<UnusableInputException>(
            () => PairsCsv.Read(endless, "pairs.csv", SignalEncoding.Bt709, SignalEncoding.Bt709)).Message, StringComparison.Ordinal);
        Assert.True(endless.Served < 10_000, $"{endless.Served} characters were read");
    }

    [Fact]
    public void Read_MorePairsThanTheLimit_IsRefused()
    {
        IEnumerable<string> lines = Enumerable.Range(0, PairsCsv.MaxPairs + 1).Select(i => $"{i},g,0,0,0,1,1,1");
        Assert.Contains("more than", Assert.Throws<UnusableInputException>(
            () => Read($"{Header}\n{string.Join('\n', lines)}\n")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteAndRead_UnderACultureWithDecimalCommas_AreTheSame()
    {
        CultureInfo before = CultureInfo.CurrentCulture;
        try
        {
            CultureInfo comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
            comma.NumberFormat.NumberDecimalSeparator = ",";
            CultureInfo.CurrentCulture = comma;
            Assert.Equal($"{Header}\n{Line}\n", Text(Read($"{Header}\n{Line}\n")));
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    private static SampleSet Read(string text) =>
        PairsCsv.Read(new StringReader(text), "pairs.csv", SignalEncoding.Bt709, SignalEncoding.Bt709);

    private static string Text(SampleSet set)
    {
        using StringWriter writer = new(CultureInfo.InvariantCulture);
        PairsCsv.Write(writer, set);
        return writer.ToString();
    }

    private sealed class EndlessReader : TextReader
    {
        public int Served { get; private set; }

        public override int Read()
        {
            Served++;
            return 'x';
        }
    }
}

using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour.DeltaE;

public class DeltaE2000Tests
{
    // Half a unit of the fourth decimal: the table's last digit.
    private const double PublishedDigits = 5.01e-5;

    // Source: Sharma, Wu and Dalal 2005, the 34 pairs of the supplementary test data.
    [Fact]
    public void Between_PublishedPairs_AgreesToFourDecimalsInBothOrders()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows = CsvTable.Read(SharedData.Require("reference-values/ciede2000-pairs.csv"));
        Assert.Equal(34, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            Lab first = new(N("L1"), N("a1"), N("b1")), second = new(N("L2"), N("a2"), N("b2"));
            Assert.Equal(N("dE00"), DeltaE2000.Between(first, second), PublishedDigits);
            Assert.Equal(N("dE00"), DeltaE2000.Between(second, first), PublishedDigits);
        }
    }
}

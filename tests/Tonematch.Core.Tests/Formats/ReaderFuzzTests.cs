using CsCheck;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats;

public class ReaderFuzzTests
{
    [Fact]
    public void Read_SoundFiles_AreRead() =>
        Assert.All(ReaderFuzz.Seeds, s => Assert.Null(Record.Exception(() => s.Read(s.Text))));

    // A few seconds of it in the suite; a million inputs by hand with the bench 'fuzz'.
    [Fact]
    public void Read_MutatedFiles_AreReadOrRefusedWithASentence() =>
        Gen.Int[0, int.MaxValue - 1].Sample(
            number =>
            {
                (string name, string text, Action<string> read) = ReaderFuzz.Input(number);
                Assert.True(ReaderFuzz.Fault(text, read) is not { } fault, $"input {number} ({name}): {ReaderFuzz.Fault(text, read)}");
            },
            iter: 20_000);
}

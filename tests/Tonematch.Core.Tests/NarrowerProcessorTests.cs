using System.Text;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests;

/// <summary>
/// The tests of code written for vectors once more in a process that may not use this processor's wide registers: what an older processor,
/// or one of another make, computes must keep the same promises.
/// </summary>
public class NarrowerProcessorTests
{
    [Theory]
    [InlineData("DOTNET_EnableAVX512=0")] // eight floats side by side at most
    [InlineData("DOTNET_EnableHWIntrinsic=0")] // no vectors and no fused multiply-add at all
    public void VectorCode_WithoutWideRegisters_PassesItsTests(string setting)
    {
        ExternalTool env = ExternalTool.RequireProgram("env");
        (int exitCode, byte[] output, string errors) = env.TryRun(
            [setting, "dotnet", typeof(NarrowerProcessorTests).Assembly.Location, "-class", "*LutEngineTests", "-class", "*FourierTransformTests", "-class", "*ColourValuesTests"], [], null);
        string text = Encoding.UTF8.GetString(output) + errors;
        Assert.True(exitCode == 0, text);
        Assert.DoesNotContain("Total: 0", text, StringComparison.Ordinal);
    }
}

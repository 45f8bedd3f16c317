using System.Text;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour.Bulk;

/// <summary>
/// The kernels' tests once more in a process that may not use this processor's wide registers: what an older processor,
/// or one of another make, computes must keep the same promises.
/// </summary>
public class NarrowerProcessorTests
{
    [Theory]
    [InlineData("DOTNET_EnableAVX512=0")] // eight lanes at most
    [InlineData("DOTNET_EnableHWIntrinsic=0")] // no vectors and no fused multiply-add at all
    public void KernelTests_WithoutWideRegisters_Pass(string setting)
    {
        ExternalTool env = ExternalTool.RequireProgram("env");
        (int exitCode, byte[] output, string errors) = env.TryRun(
            [setting, "dotnet", typeof(NarrowerProcessorTests).Assembly.Location, "-class", "*KernelTests"], [], null);
        string text = Encoding.UTF8.GetString(output) + errors;
        Assert.True(exitCode == 0, text);
        Assert.DoesNotContain("Total: 0", text, StringComparison.Ordinal);
    }
}

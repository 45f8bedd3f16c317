using System.Text.Json.Serialization;
using Tonematch.Workbench.Jobs;

namespace Tonematch.Workbench.Api;

/// <summary>The page's JSON serializers, generated at compile time so that the server starts quickly.</summary>
[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals, UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow, RespectNullableAnnotations = true, RespectRequiredConstructorParameters = true)]
[JsonSerializable(typeof(StateMessage))]
[JsonSerializable(typeof(SessionUpdate))]
[JsonSerializable(typeof(MatchMessage))]
[JsonSerializable(typeof(PairMessage[]))]
[JsonSerializable(typeof(SoundMessage))]
[JsonSerializable(typeof(PointMessage))]
[JsonSerializable(typeof(UncoveredMessage))]
[JsonSerializable(typeof(HandoverOrder))]
[JsonSerializable(typeof(SayMessage))]
[JsonSerializable(typeof(DroppedFile))]
[JsonSerializable(typeof(FoundFile))]
[JsonSerializable(typeof(ClipOrder))]
[JsonSerializable(typeof(JobState))]
[JsonSerializable(typeof(FrameHeader))]
internal sealed partial class ApiJson : JsonSerializerContext;

/// <summary>The numbers sent with a frame's planes.</summary>
internal sealed record FrameHeader(
    int Width, int Height, int Orientation, double Seconds, bool IsYcbcr, bool IsWide, int ChromaWidth, int ChromaHeight, int ShiftX, int ShiftY,
    double ChromaX, double ChromaY, double Scale, double Offset, double ChromaScale, double ChromaOffset, double Kr, double Kb);

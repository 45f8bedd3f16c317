namespace Tonematch.Matching;

/// <summary>How far a stage of the work is.</summary>
/// <param name="Stage">What is being done, for people, e.g. 'Listening to both recordings'.</param>
/// <param name="Share">0..1 of this stage; 0 if unknown.</param>
public readonly record struct StageProgress(string Stage, double Share);

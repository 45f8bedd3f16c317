namespace Tonematch.Reporting;

/// <summary>How good a match is, for the mark beside the verdict.</summary>
public enum ReportGrade
{
    /// <summary>Cuts well.</summary>
    Good,

    /// <summary>Usable; something can be seen side by side.</summary>
    Fair,

    /// <summary>Visible in a cut, or not to be trusted.</summary>
    Poor,
}

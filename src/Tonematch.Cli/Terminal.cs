using Spectre.Console;
using Tonematch.Matching;

namespace Tonematch.Cli;

/// <summary>
/// The program's output: results on standard output; progress, notes and errors on standard error, so that with
/// <c>--json</c> standard output holds nothing but JSON.
/// </summary>
internal sealed class Terminal : IDisposable
{
    private readonly TextWriter _output;
    private readonly TextWriter _error;
    private readonly bool _live;
    private readonly IAnsiConsole _outputConsole;
    private readonly IAnsiConsole _errorConsole;
    private readonly int _outputWidth;
    private readonly int _errorWidth;

    /// <param name="output">Standard output.</param>
    /// <param name="error">Standard error.</param>
    /// <param name="outputIsTerminal">Whether standard output is a screen: colours, and tables of its width.</param>
    /// <param name="errorIsTerminal">Whether standard error is a screen: a live progress bar.</param>
    public Terminal(TextWriter output, TextWriter error, bool outputIsTerminal, bool errorIsTerminal)
    {
        _output = outputIsTerminal ? new ScreenWriter(output) : output;
        _error = errorIsTerminal ? new ScreenWriter(error) : error;
        _live = errorIsTerminal;
        _outputConsole = MakeConsole(_output, outputIsTerminal);
        _errorConsole = MakeConsole(_error, errorIsTerminal);
        (_outputWidth, _errorWidth) = (outputIsTerminal ? _outputConsole.Profile.Width : int.MaxValue, errorIsTerminal ? _errorConsole.Profile.Width : int.MaxValue);
    }

    public static Terminal OfThisProcess() =>
        new(Console.Out, Console.Error, !Console.IsOutputRedirected, !Console.IsErrorRedirected);

    /// <summary>One line of the result, wrapped on a screen.</summary>
    public void Line(string text = "") => _output.WriteLine(PlainText.Wrapped(PlainText.Shown(text), _outputWidth));

    /// <summary>The result's JSON, unchanged.</summary>
    public void Json(string json) => _output.WriteLine(json.TrimEnd());

    /// <summary>Flushes the output before a long wait.</summary>
    public void Flush() => _output.Flush();

    /// <summary>A table of the result.</summary>
    public void Table(Table table) => _outputConsole.Write(table);

    /// <summary>A table cell that is safe for a screen whatever a file is called.</summary>
    public static string Cell(string text) => Markup.Escape(PlainText.Shown(text));

    /// <summary>Something worth knowing that is not the result.</summary>
    public void Note(string text) => _error.WriteLine(PlainText.Wrapped(PlainText.Shown(text), _errorWidth));

    /// <summary>A warning: the work goes on.</summary>
    public void Warning(string text) => Say($"Note: {text}", Color.Olive);

    /// <summary>An error: what went wrong and what to do, in a sentence or two.</summary>
    public void Error(string text) => Say(text, Color.Maroon);

    /// <summary>Runs long work: a live bar on a screen, a plain line per stage when piped.</summary>
    public async Task<T> WithProgressAsync<T>(Func<IProgress<StageProgress>, Task<T>> work)
    {
        // A screen without cursor control would get a line for every per cent.
        if (!_live || !_errorConsole.Profile.Capabilities.Interactive || !_errorConsole.Profile.Capabilities.Ansi)
        {
            return await work(new PlainProgress(_error));
        }

        return await _errorConsole.Progress()
            .AutoClear(true)
            .Columns(new TaskDescriptionColumn { Alignment = Justify.Left }, new ProgressBarColumn(), new ShareColumn(), new TimeLeftColumn())
            .StartAsync(context => work(new LiveProgress(context)));
    }

    public void Dispose()
    {
        _output.Flush();
        _error.Flush();
    }

    private void Say(string text, Color colour) =>
        _errorConsole.Write(new Text(PlainText.Wrapped(PlainText.Shown(text), _errorWidth) + "\n", new Style(colour)));

    private static IAnsiConsole MakeConsole(TextWriter writer, bool isTerminal)
    {
        IAnsiConsole console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Out = new ScreenOutput(writer, isTerminal),
            Ansi = isTerminal ? AnsiSupport.Detect : AnsiSupport.No,
            ColorSystem = isTerminal ? ColorSystemSupport.Detect : ColorSystemSupport.NoColors,
            Interactive = isTerminal ? InteractionSupport.Detect : InteractionSupport.No,
        });
        if (!isTerminal)
        {
            // Piped text is for files and other programs: long lines are not broken.
            console.Profile.Width = 400;
        }

        return console;
    }

    /// <summary>Prints each stage once.</summary>
    private sealed class PlainProgress(TextWriter writer) : IProgress<StageProgress>
    {
        private string _stage = "";

        public void Report(StageProgress value)
        {
            lock (writer)
            {
                if (value.Stage != _stage)
                {
                    _stage = value.Stage;
                    writer.WriteLine($"{value.Stage} ...");
                }
            }
        }
    }

    private sealed class LiveProgress(ProgressContext context) : IProgress<StageProgress>
    {
        private readonly Dictionary<string, ProgressTask> _tasks = [];

        public void Report(StageProgress value)
        {
            lock (_tasks)
            {
                if (!_tasks.TryGetValue(value.Stage, out ProgressTask? task))
                {
                    foreach (ProgressTask earlier in _tasks.Values)
                    {
                        earlier.Value = earlier.MaxValue;
                    }

                    // Descriptions are markup in this library: file names in them must be escaped.
                    task = context.AddTask(Markup.Escape(value.Stage), maxValue: 1);
                    _tasks.Add(value.Stage, task);
                }

                task.IsIndeterminate = value.Share <= 0;
                task.Value = value.Share;
            }
        }
    }
}

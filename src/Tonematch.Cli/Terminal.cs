using Spectre.Console;
using Tonematch.Matching;

namespace Tonematch.Cli;

/// <summary>
/// Where the program speaks: results on standard output; progress, notes and errors on standard error, so that
/// <c>--json</c> leaves nothing but the JSON on standard output.
/// </summary>
internal sealed class Terminal : IDisposable
{
    private readonly TextWriter _output;
    private readonly TextWriter _error;
    private readonly bool _live;
    private readonly IAnsiConsole _outputConsole;
    private readonly IAnsiConsole _errorConsole;

    /// <param name="output">Standard output.</param>
    /// <param name="error">Standard error.</param>
    /// <param name="outputIsTerminal">Standard output is a screen: colours and tables as wide as it is.</param>
    /// <param name="errorIsTerminal">Standard error is a screen: a live progress bar.</param>
    public Terminal(TextWriter output, TextWriter error, bool outputIsTerminal, bool errorIsTerminal)
    {
        (_output, _error, _live) = (output, error, errorIsTerminal);
        _outputConsole = MakeConsole(output, outputIsTerminal);
        _errorConsole = MakeConsole(error, errorIsTerminal);
    }

    public static Terminal OfThisProcess() =>
        new(Console.Out, Console.Error, !Console.IsOutputRedirected, !Console.IsErrorRedirected);

    /// <summary>One line of the result.</summary>
    public void Line(string text = "") => _output.WriteLine(text);

    /// <summary>Shows what was said so far, before a long wait.</summary>
    public void Flush() => _output.Flush();

    /// <summary>A table of the result.</summary>
    public void Table(Table table) => _outputConsole.Write(table);

    /// <summary>Something worth knowing that is not the result.</summary>
    public void Note(string text) => _error.WriteLine(text);

    /// <summary>A warning: the work goes on.</summary>
    public void Warning(string text) => _errorConsole.Write(new Text($"Note: {text}\n", new Style(Color.Olive)));

    /// <summary>What went wrong and what to do, in a sentence or two.</summary>
    public void Error(string text) => _errorConsole.Write(new Text($"{text}\n", new Style(Color.Maroon)));

    /// <summary>Runs long work: a live bar on a screen, a plain line a stage when piped.</summary>
    public async Task<T> WithProgressAsync<T>(Func<IProgress<StageProgress>, Task<T>> work)
    {
        if (!_live)
        {
            return await work(new PlainProgress(_error));
        }

        return await _errorConsole.Progress()
            .AutoClear(true)
            .Columns(new TaskDescriptionColumn { Alignment = Justify.Left }, new ProgressBarColumn(), new PercentageColumn(), new RemainingTimeColumn())
            .StartAsync(context => work(new LiveProgress(context)));
    }

    public void Dispose()
    {
        _output.Flush();
        _error.Flush();
    }

    private static IAnsiConsole MakeConsole(TextWriter writer, bool isTerminal)
    {
        IAnsiConsole console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Out = new AnsiConsoleOutput(writer),
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

    /// <summary>Says each stage once.</summary>
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

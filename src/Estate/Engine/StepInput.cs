namespace Hillrow.Estate;

/// <summary>Something a step reads. Its content, not its name or date, decides whether the step is to be done again.</summary>
/// <param name="Name">What the step calls it; unique within the step.</param>
public abstract record StepInput(string Name)
{
    /// <summary>One file, absolute or relative to the estate.</summary>
    public static StepInput File(string name, string path) => new FileInput(name, path);

    /// <summary>Every file below a folder, by relative path and content; absolute or relative to the estate.</summary>
    public static StepInput Folder(string name, string path) => new FolderInput(name, path);

    /// <summary>All that an earlier step of the same order put out: files and verdict.</summary>
    /// <param name="name">What this step calls it.</param>
    /// <param name="from">The earlier step.</param>
    /// <param name="optional">False: this step is refused when that one was. True: it copes without.</param>
    public static StepInput Output(string name, StepKey from, bool optional = false) =>
        new OutputInput(name, from, optional);

    /// <summary>Rows of a table of estate.gpkg.</summary>
    /// <param name="name">What the step calls it.</param>
    /// <param name="table">The table.</param>
    /// <param name="where">SQL condition with the parameter <c>$value</c>, or empty for all rows.</param>
    /// <param name="value">The parameter's value.</param>
    public static StepInput Table(string name, string table, string where = "", string value = "") =>
        new TableInput(name, table, where, value);
}

internal sealed record FileInput(string Name, string Path) : StepInput(Name);

internal sealed record FolderInput(string Name, string Path) : StepInput(Name);

internal sealed record OutputInput(string Name, StepKey From, bool Optional) : StepInput(Name);

internal sealed record TableInput(string Name, string TableName, string Where, string Value) : StepInput(Name);

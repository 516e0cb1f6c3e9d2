using System.Text;

namespace Hillrow.Estate;

/// <summary>Comma-separated values as people's programs write them (RFC 4180; a semicolon where the first line has more of them).</summary>
internal static class CsvText
{
    /// <returns>Rows with the number of the line that each begins on.</returns>
    public static List<(int Line, List<string> Cells)> Rows(string text)
    {
        int end = text.IndexOf('\n', StringComparison.Ordinal);
        string first = end < 0 ? text : text[..end];
        char separator = first.Count(c => c == ';') > first.Count(c => c == ',') ? ';' : ',';
        List<(int, List<string>)> rows = [];
        List<string> cells = [];
        StringBuilder cell = new();
        bool quoted = false;
        (int line, int began) = (1, 1);
        void EndCell()
        {
            cells.Add(cell.ToString());
            cell.Clear();
        }

        for (int at = 0; at < text.Length; at++)
        {
            char c = text[at];
            line += c == '\n' ? 1 : 0;
            if (quoted)
            {
                if (c != '"')
                {
                    cell.Append(c);
                }
                else if (at + 1 < text.Length && text[at + 1] == '"')
                {
                    cell.Append('"');
                    at++;
                }
                else
                {
                    quoted = false;
                }
            }
            else if (c == '"' && cell.Length == 0)
            {
                quoted = true;
            }
            else if (c == separator)
            {
                EndCell();
            }
            else if (c == '\n')
            {
                EndCell();
                rows.Add((began, cells));
                cells = [];
                began = line;
            }
            else if (c != '\r')
            {
                cell.Append(c);
            }
        }

        if (cell.Length > 0 || cells.Count > 0)
        {
            EndCell();
            rows.Add((began, cells));
        }

        return rows;
    }
}

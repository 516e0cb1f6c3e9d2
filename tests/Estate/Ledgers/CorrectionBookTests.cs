using Hillrow.Earth;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class CorrectionBookTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Add_EveryKind_ReadsBackEqualInTheirOrder()
    {
        DateOnly day = new(2026, 5, 3);
        GridPoint here = new(500_010.123456789, 9_200_020.5);
        PlantCorrection[] made =
        [
            new(CorrectionKind.Same, "2026-03-14", 17, here, day)
            {
                SameAs = (4, "2025-11-02-north", new GridPoint(500_011.25, 9_200_021.0625)),
                Who = "Inés",
            },
            new(CorrectionKind.Moved, "2026-03-14", 5, here, day) { MovedTo = new GridPoint(500_010.5, 9_200_020.25) },
            new(CorrectionKind.NotPlant, "2026-03-14", 6, here, day) { Note = "a stone" },
            new(CorrectionKind.Missing, "2026-03-14", null, here, day),
            new(CorrectionKind.Label, "2026-03-14", null, here, day) { Word = "weed" },
        ];
        CorrectionBook book = new(scratch.Estate);
        foreach (PlantCorrection correction in made)
        {
            book.Add(correction);
        }

        Assert.Equal(made, book.All());
    }

    [Fact]
    public void All_RowOfAnotherKind_IsLeftOut()
    {
        using (Microsoft.Data.Sqlite.SqliteConnection connection = scratch.Estate.OpenDatabase())
        {
            GeoPackageConnection.Execute(
                connection,
                "INSERT INTO corrections (day, what, value) VALUES ('2026-05-03', 'verdict', 'thin')"
            );
        }

        Assert.Empty(new CorrectionBook(scratch.Estate).All());
    }
}

using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class EstateFolderTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Open_WhatWasMade_HasTheSameSettings() =>
        Assert.Equal(scratch.Estate.Settings, EstateFolder.Open(scratch.Estate.Root).Settings);

    [Fact]
    public void Create_Twice_RefusedAndNothingChanged()
    {
        byte[] before = File.ReadAllBytes(scratch.Estate.DatabaseFile);
        Assert.Contains("is an estate already", Refusal(scratch.Estate.Root), StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllBytes(scratch.Estate.DatabaseFile));
    }

    [Fact]
    public void Create_FolderWithOtherFiles_Refused()
    {
        scratch.File("letter.txt", "dear");
        Assert.Contains("is not empty", Refusal(scratch.Folder), StringComparison.Ordinal);
    }

    [Fact]
    public void Create_AfterAnInterruptedCreation_Works()
    {
        File.Delete(Path.Combine(scratch.Estate.Root, EstateToml.FileName));
        EstateFolder.Create(scratch.Estate.Root, scratch.Estate.Settings);
        Assert.Empty(new BlockBook(EstateFolder.Open(scratch.Estate.Root)).Blocks());
    }

    [Fact]
    public void Open_NoEstate_SaysSo() =>
        Assert.Contains(
            "there is no estate.toml",
            Assert.Throws<InputProblemException>(() => EstateFolder.Open(scratch.Folder)).Message,
            StringComparison.Ordinal
        );

    [Theory]
    [InlineData("2026-03-14", true)]
    [InlineData("2026-03-14-north", true)]
    [InlineData("2026-02-30", false)]
    [InlineData("2026-03-14-", false)]
    [InlineData("2026-03-14-../..", false)]
    [InlineData("north", false)]
    public void SurveyId_OnlyDateAndShortName_IsOne(string id, bool wanted) =>
        Assert.Equal(wanted, SurveyFolder.IsId(id));

    [Fact]
    public void Surveys_ListsThemByIdAndNothingElse()
    {
        scratch.Estate.AddSurvey("2026-03-14-north");
        scratch.Estate.AddSurvey("2025-12-01");
        Directory.CreateDirectory(Path.Combine(scratch.Estate.Root, "surveys", "old stuff"));
        Assert.Equal(["2025-12-01", "2026-03-14-north"], scratch.Estate.Surveys().Select(survey => survey.Id));
    }

    private string Refusal(string path) =>
        Assert
            .Throws<InputProblemException>(() =>
                EstateFolder.Create(path, EstateSettings.Plain("x", ReferenceSystem.Utm(1, true), Language.English))
            )
            .Message;
}

using Xunit;

namespace Hillrow.Numerics.Tests;

public sealed class InputProblemExceptionTests
{
    [Fact]
    public void Message_ControlCharactersOfDamagedFile_BecomeBlanks()
    {
        InputProblemException fault = new("a.prj", "projection \"T\0\u001b[2J\r\nx\" is unknown.", "Reproject.");
        Assert.Equal("a.prj: projection \"T  [2J x\" is unknown. Reproject.", fault.Message);
    }
}

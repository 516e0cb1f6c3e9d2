using System.Globalization;

namespace Hillrow.Estate;

/// <summary>The day in a survey's id, which begins with it.</summary>
internal static class SurveyDay
{
    private const string Form = "yyyy-MM-dd";

    public static DateOnly Of(string survey) =>
        DateOnly.ParseExact(survey[..Form.Length], Form, CultureInfo.InvariantCulture);
}

namespace Hillrow.Rehearsal;

/// <summary>What a plant is like on a day: age, block, pest, nutrients and picking put together.</summary>
public static class PlantGrowth
{
    /// <param name="dateIndex">0 is before picking, odd ones after it.</param>
    public static PlantState On(
        EstateSettings settings,
        BlockPlan block,
        Plant plant,
        bool dead,
        IReadOnlyList<PestPatch> patches,
        DateOnly day,
        int dateIndex
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(block);
        ArgumentNullException.ThrowIfNull(plant);
        ArgumentNullException.ThrowIfNull(patches);
        (double height, double radius, double stretch) = FullSize(block.Kind);
        int ageDays = day.DayNumber - plant.PlantedOn.DayNumber;
        // Von-Bertalanffy-like: a 75-day-old transplant is knee-high, at three years nearly full.
        double grown = 1 - (0.86 * Math.Exp(-ageDays / 520.0));
        if (block.StumpedOn is { } stumpedOn && ageDays > 400)
        {
            double days = Math.Max(0, day.DayNumber - stumpedOn.DayNumber);
            grown = 0.17 + (0.75 / (1 + Math.Exp(-(days - 330) / 80)));
        }

        double severity = Severity(settings, block, plant, patches, day, dateIndex);
        double nutrient = NutrientIndex(settings, plant.EastMetres, plant.NorthMetres);
        double picking = dateIndex % 2 == 1 && grown > 0.6 ? 0.25 + (0.5 * (plant.Vigour - 0.7)) : 0;
        double size = plant.Vigour * grown * (1 + (0.06 * nutrient));
        double density = (1 + (0.1 * nutrient)) * (1 - (0.78 * severity)) * (1 - (0.3 * picking));
        double chlorophyll = 52 * (1 + (0.17 * nutrient)) * (1 - (0.38 * severity)) * (1 - (0.1 * picking));
        chlorophyll *= grown < 0.6 ? 0.82 : 1;
        return new PlantState(
            plant,
            height * size * (1 - (0.08 * severity)),
            radius * Math.Pow(size, 0.8) * (1 - (0.34 * severity)),
            stretch,
            dead ? 0.22 : Math.Clamp(density, 0.08, 1.15),
            chlorophyll * (0.94 + (0.12 * (plant.Susceptibility - 0.5))),
            severity,
            nutrient,
            picking,
            dead,
            block.Treated && dateIndex > 0
        );
    }

    /// <summary>A slow gradient over the estate with a poorer lens: hunger, not disease.</summary>
    public static double NutrientIndex(EstateSettings settings, double eastMetres, double northMetres)
    {
        ArgumentNullException.ThrowIfNull(settings);
        double along = (eastMetres - settings.Extent.WestMetres) / settings.Extent.WidthMetres;
        double up = (northMetres - settings.Extent.SouthMetres) / settings.Extent.LengthMetres;
        float x = (float)(eastMetres / 60);
        float y = (float)(northMetres / 60);
        double lens = 0.45 * LatticeNoise.Fractal(x, y, 2, 0.5f, unchecked((uint)settings.Seed * 747796405u));
        return Math.Clamp((1.3 * (along - 0.5)) - (0.5 * (up - 0.5)) + lens, -1, 1);
    }

    /// <summary>Day of the treatment: halfway between the first two dates; null when there is only one.</summary>
    public static DateOnly? TreatedOn(EstateSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        return settings.Dates.Count > 1
            ? settings.Dates[0].AddDays((settings.Dates[1].DayNumber - settings.Dates[0].DayNumber) / 2)
            : null;
    }

    private static (double Height, double Radius, double Stretch) FullSize(BlockKind kind) =>
        kind switch
        {
            BlockKind.Touching => (2.25, 0.92, 1.05),
            BlockKind.Hedgerow => (2.1, 0.74, 1.1),
            BlockKind.Shaded => (2.3, 0.8, 1),
            BlockKind.Stumped => (2.2, 0.8, 1),
            _ => (1.95, 0.68, 1),
        };

    private static double Severity(
        EstateSettings settings,
        BlockPlan block,
        Plant plant,
        IReadOnlyList<PestPatch> patches,
        DateOnly day,
        int dateIndex
    )
    {
        // The treatment stops the front and lets half of the harm heal.
        DateOnly? treatedOn = block.Treated && dateIndex > 0 ? TreatedOn(settings) : null;
        bool treated = treatedOn is not null;
        DateOnly spreadUntil = treatedOn ?? day;
        double worst = 0;
        foreach (PestPatch patch in patches)
        {
            double radius = patch.RadiusOn(spreadUntil < day ? spreadUntil : day);
            double dx = plant.EastMetres - patch.EastMetres;
            double dy = plant.NorthMetres - patch.NorthMetres;
            double inside = (radius - Math.Sqrt((dx * dx) + (dy * dy))) / 3.5;
            worst = Math.Max(worst, Math.Clamp(inside, 0, 1));
        }

        return worst * plant.Susceptibility * (treated ? 0.5 : 1);
    }
}

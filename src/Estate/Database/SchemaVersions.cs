using Hillrow.Earth;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// The tables of estate.gpkg, version by version. An entry that has shipped is never edited: a change is a new entry.
/// </summary>
internal static class SchemaVersions
{
    /// <summary>Entry n brings a file from version n to n + 1.</summary>
    public static IReadOnlyList<Action<SqliteConnection, ReferenceSystem>> All { get; } =
    [WhatPeopleEnter, PlantsAndFindings, RunRecordTables, KeysOfFindings, SightingsOfNumbers, ScoutAnswers];

    private static void WhatPeopleEnter(SqliteConnection connection, ReferenceSystem system)
    {
        DateTimeOffset now = DateTimeOffset.UtcNow;
        GeoPackageSchema.AddLayer(
            connection,
            "blocks",
            """
            name TEXT NOT NULL UNIQUE COLLATE NOCASE, crop TEXT NOT NULL DEFAULT '', variety TEXT NOT NULL DEFAULT '',
            planted DATE, stumped DATE, plant_spacing_metres DOUBLE, row_spacing_metres DOUBLE, shade_percent DOUBLE,
            source TEXT NOT NULL DEFAULT ''
            """,
            "MULTIPOLYGON",
            system.EpsgCode,
            "management units: one crop, one planting or last stumping date",
            now
        );
        GeoPackageSchema.AddTable(
            connection,
            "block_log",
            """
            block_id INTEGER NOT NULL REFERENCES blocks (id) ON DELETE RESTRICT, day DATE NOT NULL, kind TEXT NOT NULL,
            amount DOUBLE, unit TEXT NOT NULL DEFAULT '', product TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
            """,
            "dated log of each block: picking, spray, fertiliser, pruning, stumping, rain, note",
            now
        );
        GeoPackageConnection.Execute(connection, "CREATE INDEX block_log_by_block ON block_log (block_id, day)");
        GeoPackageSchema.AddLayer(
            connection,
            "samples",
            """
            day DATE NOT NULL, kind TEXT NOT NULL, block_id INTEGER REFERENCES blocks (id) ON DELETE SET NULL,
            plant INTEGER, quantity TEXT NOT NULL, value DOUBLE, unit TEXT NOT NULL DEFAULT '',
            laboratory TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
            """,
            "POINT",
            system.EpsgCode,
            "soil, leaf, root and yield samples with their results",
            now
        );
        GeoPackageSchema.AddLayer(
            connection,
            "corrections",
            """
            day DATE NOT NULL, survey TEXT NOT NULL DEFAULT '', plant INTEGER, what TEXT NOT NULL, value TEXT NOT NULL,
            who TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
            """,
            "POINT",
            system.EpsgCode,
            "what people put right in the results",
            now
        );
        GeoPackageSchema.AddLayer(
            connection,
            "treatments",
            """
            name TEXT NOT NULL, role TEXT NOT NULL, started DATE NOT NULL, product TEXT NOT NULL DEFAULT '', amount DOUBLE,
            unit TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
            """,
            "MULTIPOLYGON",
            system.EpsgCode,
            "areas treated, and their untreated controls",
            now
        );
    }

    private static void PlantsAndFindings(SqliteConnection connection, ReferenceSystem system)
    {
        DateTimeOffset now = DateTimeOffset.UtcNow;
        GeoPackageSchema.AddLayer(
            connection,
            "plants",
            """
            plant INTEGER NOT NULL UNIQUE, block_id INTEGER REFERENCES blocks (id) ON DELETE SET NULL, row_number INTEGER,
            place_in_row INTEGER, first_survey TEXT NOT NULL, last_survey TEXT NOT NULL, state TEXT NOT NULL DEFAULT ''
            """,
            "POINT",
            system.EpsgCode,
            "the plant ledger's identities: a plant keeps its number for life",
            now
        );
        GeoPackageSchema.AddLayer(
            connection,
            "findings",
            """
            survey TEXT NOT NULL, question TEXT NOT NULL, block_id INTEGER REFERENCES blocks (id) ON DELETE SET NULL,
            plant INTEGER, severity TEXT NOT NULL DEFAULT '', value DOUBLE, low DOUBLE, high DOUBLE,
            unit TEXT NOT NULL DEFAULT '', message TEXT NOT NULL DEFAULT '', remedy TEXT NOT NULL DEFAULT '',
            evidence TEXT NOT NULL DEFAULT ''
            """,
            "GEOMETRY",
            system.EpsgCode,
            "answers to the grower's questions, with their uncertainty and evidence",
            now
        );
        GeoPackageConnection.Execute(connection, "CREATE INDEX findings_by_survey ON findings (survey, question)");
    }

    private static void RunRecordTables(SqliteConnection connection, ReferenceSystem system)
    {
        DateTimeOffset now = DateTimeOffset.UtcNow;
        GeoPackageSchema.AddTable(
            connection,
            "run_steps",
            """
            step TEXT NOT NULL, subject TEXT NOT NULL, fingerprint TEXT NOT NULL, state TEXT NOT NULL,
            reasons TEXT NOT NULL, place TEXT NOT NULL, content TEXT NOT NULL, method TEXT NOT NULL, source TEXT NOT NULL,
            settings TEXT NOT NULL, program TEXT NOT NULL, runtime TEXT NOT NULL, processor TEXT NOT NULL,
            libraries TEXT NOT NULL, UNIQUE (step, subject)
            """,
            "what each step of a run made, from what, and how",
            now
        );
        (string Table, string Columns, string Description)[] children =
        [
            ("run_inputs", "name TEXT NOT NULL, what TEXT NOT NULL, digest TEXT NOT NULL", "what each step read"),
            (
                "run_outputs",
                "file TEXT NOT NULL, bytes INTEGER NOT NULL, digest TEXT NOT NULL",
                "files each step put out"
            ),
            (
                "run_warnings",
                "code TEXT NOT NULL, about TEXT NOT NULL, message TEXT NOT NULL, remedy TEXT NOT NULL",
                "what a person should know about a step's result"
            ),
            ("run_figures", "name TEXT NOT NULL, value DOUBLE", "counts and measures of each step"),
        ];
        foreach ((string table, string columns, string description) in children)
        {
            GeoPackageSchema.AddTable(
                connection,
                table,
                $"step TEXT NOT NULL, subject TEXT NOT NULL, {columns}",
                description,
                now
            );
            GeoPackageConnection.Execute(connection, $"CREATE INDEX {table}_by_step ON {table} (step, subject)");
        }

        _ = system;
    }

    /// <summary>A report's number carries its finding's key, so that anybody can look it up here.</summary>
    private static void KeysOfFindings(SqliteConnection connection, ReferenceSystem system)
    {
        GeoPackageConnection.Execute(connection, "ALTER TABLE findings ADD COLUMN key TEXT NOT NULL DEFAULT ''");
        GeoPackageConnection.Execute(
            connection,
            "CREATE UNIQUE INDEX findings_by_key ON findings (key) WHERE key <> ''"
        );
        _ = system;
    }

    /// <summary>A number stays with the sighting it was issued for; questions by block are answered by an index.</summary>
    private static void SightingsOfNumbers(SqliteConnection connection, ReferenceSystem system)
    {
        GeoPackageConnection.Execute(
            connection,
            """
            ALTER TABLE plants ADD COLUMN issued_survey TEXT NOT NULL DEFAULT '';
            ALTER TABLE plants ADD COLUMN issued_easting DOUBLE;
            ALTER TABLE plants ADD COLUMN issued_northing DOUBLE;
            ALTER TABLE plants ADD COLUMN merged_into INTEGER;
            CREATE INDEX plants_by_block ON plants (block_id, row_number, place_in_row);
            """
        );
        _ = system;
    }

    private static void ScoutAnswers(SqliteConnection connection, ReferenceSystem system) =>
        GeoPackageSchema.AddLayer(
            connection,
            "scout_answers",
            """
            survey TEXT NOT NULL, plant INTEGER NOT NULL, state TEXT NOT NULL, cause TEXT NOT NULL DEFAULT 'unknown',
            sample TEXT NOT NULL DEFAULT '', who TEXT NOT NULL DEFAULT '', answered DATETIME NOT NULL, latitude DOUBLE,
            longitude DOUBLE, note TEXT NOT NULL DEFAULT '', UNIQUE (survey, plant, who, answered)
            """,
            "POINT",
            system.EpsgCode,
            "what scouts found at plants of a walk list",
            DateTimeOffset.UtcNow
        );
}

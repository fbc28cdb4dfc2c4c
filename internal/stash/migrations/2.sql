-- From version 1 to 2: counts kept by triggers, so that the shelf need not read
-- every piece; your own bins; saved plans; the weight of weighed cloth; the size
-- of photos; an index of prints that the search need not leave. Changes made before have no delta.

DROP INDEX print_cell;
CREATE INDEX print_cell ON print (CAST(l / 5 AS INTEGER), CAST(a / 10 AS INTEGER), b, l, a);

ALTER TABLE photo ADD COLUMN width INTEGER NOT NULL DEFAULT 0;
ALTER TABLE photo ADD COLUMN height INTEGER NOT NULL DEFAULT 0;
ALTER TABLE holding ADD COLUMN grams REAL NOT NULL DEFAULT 0;

-- A square inch is 0.00064516 square metres; cloth weighs 150 g/m² unless you
-- set it.
UPDATE holding SET grams = area_in2 * 0.00064516 * coalesce((SELECT value FROM setting WHERE name = 'gsm'), 150)
WHERE form = 'weighed';

-- What the stash holds, kept by triggers: of pieces alike to the length, of the
-- prints in a bin, and of a bin in all. Areas are in thousandths of a square inch.
CREATE TABLE tally (
  family         TEXT NOT NULL,
  value          TEXT NOT NULL,
  bin            TEXT NOT NULL,
  form           TEXT NOT NULL,
  cut_width_in   REAL NOT NULL,
  cut_length_in  REAL NOT NULL,
  width_in       REAL NOT NULL,
  length_in      REAL NOT NULL,
  n              INTEGER NOT NULL,
  area           INTEGER NOT NULL,
  PRIMARY KEY (family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in)
) WITHOUT ROWID;

CREATE TABLE tally_print (
  family         TEXT NOT NULL,
  value          TEXT NOT NULL,
  bin            TEXT NOT NULL,
  form           TEXT NOT NULL,
  cut_width_in   REAL NOT NULL,
  cut_length_in  REAL NOT NULL,
  print          INTEGER NOT NULL,
  n              INTEGER NOT NULL,
  PRIMARY KEY (family, value, bin, form, cut_width_in, cut_length_in, print)
) WITHOUT ROWID;

CREATE TABLE tally_cut (
  family         TEXT NOT NULL,
  value          TEXT NOT NULL,
  bin            TEXT NOT NULL,
  form           TEXT NOT NULL,
  cut_width_in   REAL NOT NULL,
  cut_length_in  REAL NOT NULL,
  n              INTEGER NOT NULL,
  area           INTEGER NOT NULL,
  prints         INTEGER NOT NULL, -- different ones
  PRIMARY KEY (family, value, bin, form, cut_width_in, cut_length_in)
) WITHOUT ROWID;

-- By how much each change changed the counts.
CREATE TABLE delta (
  change         INTEGER NOT NULL REFERENCES change (id) ON DELETE CASCADE,
  family         TEXT NOT NULL,
  value          TEXT NOT NULL,
  bin            TEXT NOT NULL,
  form           TEXT NOT NULL,
  cut_width_in   REAL NOT NULL,
  cut_length_in  REAL NOT NULL,
  n              INTEGER NOT NULL,
  area           INTEGER NOT NULL,
  PRIMARY KEY (change, family, value, bin, form, cut_width_in, cut_length_in)
) WITHOUT ROWID;

-- Examples of your own bins.
CREATE TABLE taught (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  bin   TEXT NOT NULL,
  what  TEXT NOT NULL, -- JSON
  holding INTEGER NOT NULL DEFAULT 0 -- the piece it was learnt from; 0 for one that is not kept
);

CREATE TABLE plan (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  name  TEXT NOT NULL UNIQUE,
  at    INTEGER NOT NULL,
  what  TEXT NOT NULL -- JSON
);

INSERT INTO tally
SELECT family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in,
       sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER))
FROM holding WHERE count > 0
GROUP BY family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in;

INSERT INTO tally_print
SELECT family, value, bin, form, cut_width_in, cut_length_in, print, sum(count)
FROM holding WHERE count > 0 AND print IS NOT NULL
GROUP BY family, value, bin, form, cut_width_in, cut_length_in, print;

INSERT INTO tally_cut
SELECT family, value, bin, form, cut_width_in, cut_length_in,
       sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER)), count(DISTINCT print)
FROM holding WHERE count > 0
GROUP BY family, value, bin, form, cut_width_in, cut_length_in;

-- The ledger, version 5. Lengths are inches, areas square inches, times whole
-- milliseconds since 1970-01-01 UTC; colours are linear sRGB primaries under
-- D65, 0..1, the cloth's own (albedo); outlines are full-size pixels of the
-- upright photo. Zero and '' mean "not known". Every table that undo covers has an
-- integer id, by which the journal knows its rows.

CREATE TABLE photo (
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  hash         TEXT NOT NULL UNIQUE, -- SHA-256 of the file, hex
  name         TEXT NOT NULL,        -- as you know it
  file         TEXT NOT NULL,        -- in the folder of photos; '' where it is not kept
  size         INTEGER NOT NULL,     -- bytes
  at           INTEGER NOT NULL,     -- when it came in
  kind         TEXT NOT NULL,        -- spread, board, stack, pile
  form         TEXT NOT NULL,        -- what you said its pieces are
  basket       TEXT NOT NULL,
  cut_in       REAL NOT NULL,        -- the width you said they are cut to
  px_per_inch  REAL NOT NULL,        -- in the middle of the photo
  width        INTEGER NOT NULL DEFAULT 0, -- since version 2: upright, full-size pixels
  height       INTEGER NOT NULL DEFAULT 0
);

-- Since version 3: what photos look like, by their hash. It follows from their
-- bytes, and what is missing is found anew.
CREATE TABLE likeness (
  hash  TEXT PRIMARY KEY,
  look  TEXT NOT NULL -- a perceptual hash of 64 bits, hex
) WITHOUT ROWID;

CREATE TABLE print (
  id     INTEGER PRIMARY KEY AUTOINCREMENT,
  name   TEXT NOT NULL UNIQUE,
  l      REAL,          -- mean colour, CIELAB D65, L* 0..100; NULL where it was never measured
  a      REAL,
  b      REAL
);

CREATE TABLE holding (
  id            INTEGER PRIMARY KEY AUTOINCREMENT,
  form          TEXT NOT NULL CHECK (form IN ('square', 'rectangle', 'strip', 'irregular', 'band', 'weighed')),
  count         INTEGER NOT NULL CHECK (count >= 0), -- 0: gone, and kept only to be known again in its photo
  corrected     INTEGER NOT NULL DEFAULT 0,          -- 1 where you said something of it
  gone          TEXT NOT NULL DEFAULT '',            -- why: used, recounted, not a piece, merged, split, not found
  width_in      REAL NOT NULL,    -- the shorter side
  length_in     REAL NOT NULL,
  cut_width_in  REAL NOT NULL,    -- to a ruler's mark
  cut_length_in REAL NOT NULL,    -- of rectangles alone
  area_in2      REAL NOT NULL,    -- of weighed cloth
  family        TEXT NOT NULL,
  value         TEXT NOT NULL,
  bin           TEXT NOT NULL,    -- your own
  print         INTEGER REFERENCES print (id),
  basket        TEXT NOT NULL,
  measured      INTEGER NOT NULL, -- 1 where the colours were measured in a photo
  mean_r        REAL NOT NULL,
  mean_g        REAL NOT NULL,
  mean_b        REAL NOT NULL,
  reads_r       REAL NOT NULL,
  reads_g       REAL NOT NULL,
  reads_b       REAL NOT NULL,
  colours       TEXT NOT NULL,    -- [[r, g, b, share], …], most area first
  lightness     REAL NOT NULL,    -- CIE L* of the mean, 0..100
  motif_in      REAL NOT NULL,    -- how wide the print's motifs are
  photo         INTEGER REFERENCES photo (id),
  piece         INTEGER NOT NULL, -- its number in the photo, from 1
  outline       TEXT NOT NULL,    -- [[x, y], …]
  trust         REAL NOT NULL,    -- 0..1
  grams         REAL NOT NULL DEFAULT 0, -- since version 2: what weighed cloth weighs
  mark          TEXT NOT NULL DEFAULT '' -- since version 4: by which its print is known again; '' for none
);
CREATE INDEX holding_photo ON holding (photo);
CREATE INDEX holding_print ON holding (print);
CREATE INDEX holding_basket ON holding (basket) WHERE basket <> '';
CREATE INDEX holding_bin ON holding (family, value, cut_width_in);

-- What you said of a piece, so that it can be said again when the photo is
-- looked at again. Applied in the order of id.
CREATE TABLE correction (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  photo    INTEGER NOT NULL REFERENCES photo (id),
  outline  TEXT NOT NULL, -- of the piece when you said it
  what     TEXT NOT NULL  -- JSON
);
CREATE INDEX correction_photo ON correction (photo);

CREATE TABLE floor (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  family   TEXT NOT NULL,
  value    TEXT NOT NULL,
  bin      TEXT NOT NULL,
  cut_in   REAL NOT NULL,
  n        INTEGER NOT NULL CHECK (n > 0),
  UNIQUE (family, value, bin, cut_in)
);

CREATE TABLE setting (
  id     INTEGER PRIMARY KEY AUTOINCREMENT,
  name   TEXT NOT NULL UNIQUE,
  value  REAL NOT NULL
);

-- Files that were imported, so that none comes in twice.
CREATE TABLE imported (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  hash  TEXT NOT NULL UNIQUE, -- SHA-256 of the file, hex
  name  TEXT NOT NULL,
  at    INTEGER NOT NULL
);

-- Every change that stands.
CREATE TABLE change (
  id    INTEGER PRIMARY KEY AUTOINCREMENT,
  at    INTEGER NOT NULL,
  verb  TEXT NOT NULL,
  what  TEXT NOT NULL,
  undoable INTEGER NOT NULL DEFAULT 1 -- 1 while the journal holds it
);
CREATE INDEX change_at ON change (at);
CREATE INDEX change_undoable ON change (id) WHERE undoable;

-- How the rows were before the last changes: what undo puts back, last first.
CREATE TABLE journal (
  seq     INTEGER PRIMARY KEY,
  change  INTEGER NOT NULL REFERENCES change (id) ON DELETE CASCADE,
  tbl     TEXT NOT NULL,
  row     INTEGER NOT NULL, -- the row's id
  was     TEXT              -- the row as JSON, reals as text; NULL where it was not there
);
CREATE INDEX journal_change ON journal (change);

-- Since version 5: changes that were taken back and can be done again. Any other
-- change of the stash forgets them.
CREATE TABLE undone (
  id    INTEGER PRIMARY KEY AUTOINCREMENT, -- the last is done again first
  verb  TEXT NOT NULL,
  what  TEXT NOT NULL,
  rows  TEXT NOT NULL -- [[table, id, row as in the journal or null], …] as the change had left them, in the order to put them back
);

-- Since version 2.

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

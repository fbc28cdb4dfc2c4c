-- From version 2 to 3: what photos look like, so that a copy is known.

CREATE TABLE likeness (
  hash  TEXT PRIMARY KEY,
  look  TEXT NOT NULL -- a perceptual hash of 64 bits, hex
) WITHOUT ROWID;

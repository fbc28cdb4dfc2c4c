-- From version 4 to 5: what was taken back can be done again.

CREATE TABLE undone (
  id    INTEGER PRIMARY KEY AUTOINCREMENT, -- the last is done again first
  verb  TEXT NOT NULL,
  what  TEXT NOT NULL,
  rows  TEXT NOT NULL -- [[table, id, row as in the journal or null], …] as the change had left them, in the order to put them back
);

-- From version 3 to 4: by what the print of a piece is known again. It takes the
-- place of the inks of a print, all of which are now read at once.

ALTER TABLE holding ADD COLUMN mark TEXT NOT NULL DEFAULT '';
ALTER TABLE print DROP COLUMN inks;
UPDATE journal SET was = json_remove(was, '$.inks') WHERE tbl = 'print' AND was IS NOT NULL;
DROP INDEX print_cell;

-- The counts follow the holdings. An update is split in two, so that what a row
-- was is taken away before what it is comes in.

CREATE TRIGGER tally_insert AFTER INSERT ON holding WHEN new.count > 0 BEGIN
  INSERT INTO tally VALUES (new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in, new.width_in, new.length_in,
    new.count, CAST(round(new.area_in2 * 1000) AS INTEGER))
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
  INSERT INTO tally_print SELECT new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in, new.print, new.count
  WHERE new.print IS NOT NULL
  ON CONFLICT DO UPDATE SET n = n + excluded.n;
  INSERT INTO delta SELECT max(id), new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in,
    new.count, CAST(round(new.area_in2 * 1000) AS INTEGER) FROM change WHERE true
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
END;

CREATE TRIGGER tally_delete AFTER DELETE ON holding WHEN old.count > 0 BEGIN
  UPDATE tally SET n = n - old.count, area = area - CAST(round(old.area_in2 * 1000) AS INTEGER)
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND width_in = old.width_in AND length_in = old.length_in;
  DELETE FROM tally
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND width_in = old.width_in AND length_in = old.length_in AND n = 0;
  UPDATE tally_print SET n = n - old.count
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND print = old.print;
  DELETE FROM tally_print
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND print = old.print AND n = 0;
  INSERT INTO delta SELECT max(id), old.family, old.value, old.bin, old.form, old.cut_width_in, old.cut_length_in,
    -old.count, -CAST(round(old.area_in2 * 1000) AS INTEGER) FROM change WHERE true
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
END;

CREATE TRIGGER tally_update_from BEFORE UPDATE OF form, count, width_in, length_in, cut_width_in, cut_length_in, area_in2, family, value, bin, print ON holding WHEN old.count > 0 BEGIN
  UPDATE tally SET n = n - old.count, area = area - CAST(round(old.area_in2 * 1000) AS INTEGER)
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND width_in = old.width_in AND length_in = old.length_in;
  DELETE FROM tally
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND width_in = old.width_in AND length_in = old.length_in AND n = 0;
  UPDATE tally_print SET n = n - old.count
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND print = old.print;
  DELETE FROM tally_print
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in
    AND print = old.print AND n = 0;
  INSERT INTO delta SELECT max(id), old.family, old.value, old.bin, old.form, old.cut_width_in, old.cut_length_in,
    -old.count, -CAST(round(old.area_in2 * 1000) AS INTEGER) FROM change WHERE true
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
END;

CREATE TRIGGER tally_update_to AFTER UPDATE OF form, count, width_in, length_in, cut_width_in, cut_length_in, area_in2, family, value, bin, print ON holding WHEN new.count > 0 BEGIN
  INSERT INTO tally VALUES (new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in, new.width_in, new.length_in,
    new.count, CAST(round(new.area_in2 * 1000) AS INTEGER))
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
  INSERT INTO tally_print SELECT new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in, new.print, new.count
  WHERE new.print IS NOT NULL
  ON CONFLICT DO UPDATE SET n = n + excluded.n;
  INSERT INTO delta SELECT max(id), new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in,
    new.count, CAST(round(new.area_in2 * 1000) AS INTEGER) FROM change WHERE true
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
END;

-- A bin in all follows its lengths and its prints.

CREATE TRIGGER tally_cut_insert AFTER INSERT ON tally BEGIN
  INSERT INTO tally_cut VALUES (new.family, new.value, new.bin, new.form, new.cut_width_in, new.cut_length_in, new.n, new.area, 0)
  ON CONFLICT DO UPDATE SET n = n + excluded.n, area = area + excluded.area;
END;

CREATE TRIGGER tally_cut_update AFTER UPDATE ON tally BEGIN
  UPDATE tally_cut SET n = n + new.n - old.n, area = area + new.area - old.area
  WHERE family = new.family AND value = new.value AND bin = new.bin AND form = new.form AND cut_width_in = new.cut_width_in AND cut_length_in = new.cut_length_in;
END;

CREATE TRIGGER tally_cut_delete AFTER DELETE ON tally BEGIN
  DELETE FROM tally_cut
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in AND n = 0;
END;

CREATE TRIGGER tally_cut_print_insert AFTER INSERT ON tally_print BEGIN
  UPDATE tally_cut SET prints = prints + 1
  WHERE family = new.family AND value = new.value AND bin = new.bin AND form = new.form AND cut_width_in = new.cut_width_in AND cut_length_in = new.cut_length_in;
END;

CREATE TRIGGER tally_cut_print_delete AFTER DELETE ON tally_print BEGIN
  UPDATE tally_cut SET prints = prints - 1
  WHERE family = old.family AND value = old.value AND bin = old.bin AND form = old.form AND cut_width_in = old.cut_width_in AND cut_length_in = old.cut_length_in;
END;

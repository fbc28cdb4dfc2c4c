// Package testtable reads the published tables of testdata for tests, and keeps what a
// package says of small inputs so that a change shows. No command imports it.
package testtable

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Rows reads a CSV table of testdata, such as colour/ciede2000.csv, without its heading,
// for a test of a package in internal. Comments, which begin with #, name its source.
func Rows(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", filepath.FromSlash(name)))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	return rows[1:]
}

// Number reads a cell that holds a number.
func Number(t testing.TB, cell string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return v
}

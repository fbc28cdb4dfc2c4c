package main

import (
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// All checks of flags that belong together are made, whichever was said first.
func TestFlagsThatExcludeEachOther(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--a", "--c"}, ""},
		{[]string{"--a", "--b"}, "--a and --b cannot be given together"},
		{[]string{"--e", "--c"}, "--c, --d and --e cannot be given together"},
	} {
		cmd := &cobra.Command{}
		for _, name := range []string{"a", "b", "c", "d", "e"} {
			cmd.Flags().Bool(name, false, "")
		}
		notTogether(cmd, "give one", "a", "b")
		notTogether(cmd, "give one", "c", "d", "e")
		require.NoError(t, cmd.ParseFlags(c.args))
		err := cmd.PreRunE(cmd, nil)
		if c.want == "" {
			require.NoError(t, err)
			continue
		}
		require.EqualError(t, err, c.want)
		require.ErrorIs(t, err, fault.ErrUsage)
	}
}

// A family brings its value, and may not say another than --value does.
func TestAFamilyBringsItsValue(t *testing.T) {
	for _, c := range []struct {
		args []string
		want cloth.Value
	}{
		{[]string{"--family", "dark blue"}, cloth.Dark},
		{[]string{"--family", "dark blue", "--value", "dark"}, cloth.Dark},
		{[]string{"--value", "light", "--family", "blue"}, cloth.Light},
		{[]string{"--value", "light", "--family", "dark blue"}, ""},
	} {
		var f whichFlags
		cmd := &cobra.Command{}
		f.define(cmd)
		require.NoError(t, cmd.ParseFlags(c.args))
		require.True(t, f.given)
		if err := cmd.PreRunE(cmd, nil); c.want == "" {
			require.EqualError(t, err, "--family dark blue and --value light say two values")
			continue
		}
		require.Equal(t, c.want, f.Value, "%v", c.args)
	}
}

// The words that a command works on are counted, and the one too many is named.
func TestWordsTooFewAndTooMany(t *testing.T) {
	n := 7
	one := oneNumber(&n, 9, nil, fault.Usage("", "no", ""))
	require.NoError(t, one(nil, nil))
	require.Equal(t, 7, n)
	require.NoError(t, one(nil, []string{"9"}))
	require.Equal(t, 9, n)
	for _, args := range [][]string{{"10"}, {"0"}, {"x"}} {
		require.EqualError(t, one(nil, args), args[0]+": no")
	}
	require.EqualError(t, one(nil, []string{"3", "4"}), "4: no")
	two := takes(1, 2, fault.Usage("", "few", ""), fault.Usage("", "many", ""))
	require.EqualError(t, two(nil, nil), "few")
	require.NoError(t, two(nil, []string{"a", "b"}))
	require.EqualError(t, two(nil, []string{"a", "b", "c"}), "c: many")
	require.EqualError(t, two(nil, []string{"a", "b", "c", "d"}), "c: many")
}

func TestACountHasItsLimits(t *testing.T) {
	read := count(2, 100, "this is no count", "write one")
	for s, want := range map[string]int{"2": 2, "100": 100} {
		n, err := read(s)
		require.NoError(t, err)
		require.Equal(t, want, n)
	}
	for _, s := range []string{"1", "101", "x", "2.5", ""} {
		_, err := read(s)
		require.EqualError(t, err, "this is no count", s)
	}
}

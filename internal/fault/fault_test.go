package fault

import (
	"errors"
	"fmt"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestErrorSaysWhatAndWhy(t *testing.T) {
	e := New("torn.jpg", "the file is empty", "copy it from the camera again")
	require.EqualError(t, e, "torn.jpg: the file is empty")
	require.Equal(t, "torn.jpg: the file is empty: copy it from the camera again", e.Full())
	require.Empty(t, e.Causes)
	require.EqualError(t, New("", "there is no home folder", "name one"), "there is no home folder")
	require.EqualError(t, e.Named("other.jpg"), "other.jpg: the file is empty")
	require.Equal(t, "torn.jpg", e.About, "a copy is named")
}

// Both the kind and what lies beneath it are found, and so is the fault itself
// inside another error.
func TestCausesAreReached(t *testing.T) {
	kind := errors.New("unreadable")
	e := New("torn.jpg", "it cannot be read", "try again", kind, nil, &fs.PathError{Op: "open", Path: "torn.jpg", Err: fs.ErrPermission})
	require.ErrorIs(t, e, kind)
	require.ErrorIs(t, e, fs.ErrPermission)
	var path *fs.PathError
	require.ErrorAs(t, e, &path)
	require.Len(t, e.Causes, 2, "nil is no cause")
	require.NotErrorIs(t, e, ErrUsage)
	require.Same(t, e, Of(fmt.Errorf("while stowing: %w", e)))
	require.Nil(t, Of(kind))
	require.Nil(t, Of(nil))
}

func TestUsageIsAKind(t *testing.T) {
	e := Usage("--floor 0", "this is no floor", "write a whole number above 0")
	require.ErrorIs(t, e, ErrUsage)
	require.EqualError(t, e, "--floor 0: this is no floor")
}

func TestInSaysWhatItIsAPartOf(t *testing.T) {
	e := In("the cloth for dark", Usage("", "no strip fits", "take wider cloth"))
	require.EqualError(t, e, "the cloth for dark: no strip fits")
	require.EqualError(t, In("the quilt", e), "the quilt: the cloth for dark: no strip fits")
	require.Equal(t, "take wider cloth", Of(e).Remedy)
	require.ErrorIs(t, e, ErrUsage)
	plain := errors.New("torn")
	require.EqualError(t, In("the quilt", plain), "the quilt: torn")
	require.ErrorIs(t, In("the quilt", plain), plain)
}

// Each door words a remedy by the kind of the fault; what is of no kind keeps its own.
func TestEachDoorWordsRemedies(t *testing.T) {
	gone, small, named := errors.New("gone"), errors.New("small"), errors.New("named")
	r := Remedies{{gone, "see the list"}, {small, "%r; or write --size"}, {named, "forget %q"}}
	is := New("print 3", "it is gone", "look for it", gone)
	require.Equal(t, "see the list", r.Worded(is).Remedy)
	require.Equal(t, "look for it", is.Remedy, "the fault itself stays")
	require.Equal(t, "print 3: it is gone", r.Worded(is).Error())
	require.Equal(t, "look for it; or write --size", r.Worded(New("", "", "look for it", small)).Remedy)
	require.Equal(t, `forget "print 3"`, r.Worded(New("print 3", "", "look for it", named)).Remedy)
	shrinks := Remedies{{small, "allow 5 % more"}, {named, "%r; see %s"}}
	require.Equal(t, "allow 5 % more", shrinks.Worded(New("print 3", "", "", small)).Remedy)
	require.Equal(t, "look; see print 3", shrinks.Worded(New("print 3", "", "look", named)).Remedy)
	other := Usage("", "", "look for it", errors.New("other"))
	require.Same(t, other, r.Worded(other))
	require.ErrorIs(t, other, ErrUsage)
}

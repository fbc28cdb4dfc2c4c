package photo

import "io"

// mostBytes bounds a file that is read whole, as it is kept.
const mostBytes = 512 << 20

// Bytes reads the file of a photo as it is, of at most 512 MB. The error is a
// *fault.Error.
func Bytes(path string) ([]byte, error) {
	var data []byte
	err := withFile(path, func(r io.ReaderAt, size int64) (err error) {
		if size > mostBytes {
			return ErrTooLarge
		}
		data = make([]byte, size)
		_, err = io.ReadFull(io.NewSectionReader(r, 0, size), data)
		return err
	})
	if err != nil {
		return nil, refuse(path, err)
	}
	return data, nil
}

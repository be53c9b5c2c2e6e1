//go:build linux || darwin

package main

import "syscall"

// freeBytes returns how much room is left where a path lies, and whether that is
// known.
func freeBytes(path string) (uint64, bool) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(path, &st); err != nil {
		return 0, false
	}
	return st.Bavail * uint64(st.Bsize), true //nolint:gosec // a block size is not negative
}

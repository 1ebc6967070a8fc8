//go:build unix

package api

import "golang.org/x/sys/unix"

// freeBytes says how much room the disk under dir has for this user; 0 if that can't be known.
func freeBytes(dir string) int64 {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) != nil {
		return 0
	}
	return int64(st.Bavail) * int64(st.Bsize)
}

//go:build !unix

package workshop

func ignoreBackgroundRead() {}

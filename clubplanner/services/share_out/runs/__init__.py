"""Runs of share-outs: asked for, kept, and worked on by a process of their own."""

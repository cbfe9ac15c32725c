"""The built site: its files, its manifest, and how it takes the place of the old one."""

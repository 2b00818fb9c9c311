"""The plan file: its types, reading with every problem located, writing with comments kept, its schema."""

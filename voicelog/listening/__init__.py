"""A visit while it is dictated: sound and keys in, what the dialogue decides out."""

"""What the analysis found, put into the words of a language: findings in, sentences out."""

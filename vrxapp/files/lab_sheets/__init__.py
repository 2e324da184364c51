"""Reading laboratory sheets: file, header, layout, values, samples."""

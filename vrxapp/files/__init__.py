"""Every file format: one format a file, checked before it is put in place.

The drivers of GDAL are limited here: Python runs this before any module of the folder, so
before any of them can load GDAL.
"""

from vrxapp.files.gdal_drivers import limit_drivers

limit_drivers()
